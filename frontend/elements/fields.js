/**
 * Fields of a form, each with its own problem beside it: what is wrong is what to do.
 * Enter goes on to the next field, and after the last one hands the form in.
 */

import { h } from './paint.js';

const ids = (id, hint, problem) =>
  [hint && `${id}-hint`, problem && `${id}-problem`].filter(Boolean).join(' ') || null;

// Its place is kept, so that a problem moves nothing.
const beside = (id, problem) =>
  h('p', { class: 'beside', id: `${id}-problem`, key: 'beside' }, problem);

/** A one-line field. `isPlain`: nothing can be wrong with it, so no place is kept. */
export const textField = (label, { id, value, hint, problem, most, isPlain, leadsOn, ...rest }, on) =>
  h(
    'div',
    { class: 'field', key: id },
    h('label', { for: id }, label),
    hint && h('span', { class: 'hint', id: `${id}-hint` }, hint),
    h('input', {
      id,
      type: 'text',
      class: leadsOn ? 'leads-on' : null,
      autocomplete: 'off',
      autocapitalize: 'off',
      spellcheck: 'false',
      maxlength: String(most ?? 120),
      'data-focus': id,
      'aria-invalid': problem ? 'true' : null,
      'aria-describedby': ids(id, hint, problem),
      props: { value },
      on,
      ...rest,
    }),
    !isPlain && beside(id, problem),
  );

/** One of a few: the arrows choose. `choices` are `{ value, words }`. */
export const choiceField = (label, { id, value, hint, problem, choices }, choose) =>
  h(
    'fieldset',
    { class: 'field choices', key: id, role: 'radiogroup', 'aria-describedby': ids(id, hint, problem) },
    h('legend', null, label),
    hint && h('span', { class: 'hint', id: `${id}-hint` }, hint),
    choices.map((choice, place) => {
      const own = `${id}-${place}`;
      const isChosen = choice.value === value;
      // The one that Tab reaches and that has the focus first.
      const isFirst = isChosen || (place === 0 && !choices.some((each) => each.value === value));
      return h(
        'label',
        { class: 'choice', for: own, key: own },
        h('input', {
          id: own,
          type: 'radio',
          name: id,
          'data-focus': isFirst ? id : null,
          'aria-invalid': problem ? 'true' : null,
          props: { checked: isChosen },
          on: { change: () => choose(choice.value) },
        }),
        h('span', null, choice.words),
      );
    }),
    beside(id, problem),
  );

export const tickField = (label, { id, value, hint }, turn) =>
  h(
    'div',
    { class: 'field tick', key: id },
    h(
      'label',
      { class: 'choice', for: id },
      h('input', {
        id,
        type: 'checkbox',
        'data-focus': id,
        'aria-describedby': hint ? `${id}-hint` : null,
        props: { checked: value },
        on: { change: (event) => turn(event.target.checked) },
      }),
      h('span', null, label),
    ),
    hint && h('span', { class: 'hint', id: `${id}-hint` }, hint),
  );

/** The fields in order, of radio buttons with one name only the one that Tab reaches. */
function stops(form) {
  const all = [...form.querySelectorAll('input')];
  return all.filter((input) => input.type !== 'radio' || input.dataset.focus);
}

/** Enter is Tab, and after the last field it is the form's button. */
function enterMovesOn(event) {
  const { target, currentTarget } = event;
  if (event.key !== 'Enter' || event.isComposing || !target.matches('input')) return;
  // Or the browser hands the form in from any field.
  event.preventDefault();
  if (event.repeat) return;
  const all = stops(currentTarget);
  const isSame = (each) => each === target || (target.type === 'radio' && each.name === target.name);
  const next = all[all.findIndex(isSame) + 1];
  if (next) next.focus();
  else currentTarget.requestSubmit();
}

/** The events of a form that is filled in from field to field; `act` hears when it is. */
export const filledIn = (act) => ({
  keydown: enterMovesOn,
  submit: (event) => {
    event.preventDefault();
    act(event);
  },
});
