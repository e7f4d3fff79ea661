/**
 * What should have the focus, and what should be said aloud.
 *
 * Both are counted: the same place focused twice, or the same words said twice,
 * is a new request each time. Pure.
 */

export const focusOn = (state, on) => ({ ...state, focus: { on, count: state.focus.count + 1 } });

/** `urgent` interrupts a screen reader: for refusals and errors alone. */
export const announce = (state, key, facts = {}, urgent = false) => ({
  ...state,
  said: { key, facts, urgent, count: state.said.count + 1 },
});

/** Takes back what was said: it is about a line that is no longer open. */
export const unsaid = (state) => announce(state, null);
