/** Scrolling: as little as possible, and back to the top whenever the place can be seen from there. */

// Between what is brought into sight and the edge of the window.
const MARGIN = 8;

/**
 * The page is worked from its top. Where `place` cannot be seen from there, the name of the
 * open line goes to the top edge (and stays there, see `.picked`), and only if that is
 * not enough the page is moved to `place` itself.
 */
export function bringIntoSight(place) {
  const top = place.getBoundingClientRect().top + window.scrollY;
  const bottom = top + place.offsetHeight;
  if (bottom + MARGIN <= window.innerHeight) {
    window.scrollTo(0, 0);
    return;
  }
  const above = place.closest('.sheet')?.querySelector('.sheet-top');
  if (above) window.scrollTo(0, above.getBoundingClientRect().bottom + window.scrollY);
  place.scrollIntoView({ block: 'nearest' });
}
