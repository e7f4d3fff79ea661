/** Marks the whole document as practice: for the stylesheet, in its title, and along both edges. */

// So often that the words are in sight however high the window is.
const REPEATED = 12;

/** The title has this one sentence in it and nothing else: a history keeps titles. */
export function markPage({ day }, say) {
  const root = document.documentElement;
  if (!day?.practice) return;
  const words = say('practice.band');
  if (root.dataset.practice === words) return;
  root.dataset.practice = words;
  document.title = `${words} – Tablebook`;
  document.body.dataset.practiceEdge = Array(REPEATED).fill(words).join(' · ');
}
