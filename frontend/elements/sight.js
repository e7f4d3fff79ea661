/** Scrolling: as little as possible, and back to the top whenever the place can be seen from there. */

// Between what is brought into sight and the edge of the window.
const MARGIN = 8;

/**
 * The page is worked from its top. Where `place` cannot be seen from there, the name of the
 * open line goes to the top edge (and stays there, see `.picked`), and only if that is
 * not enough the page is moved to `place` itself. `below` is to be seen with it, if it can be.
 */
export function bringIntoSight(place, below = null) {
  const last = below ?? place;
  const bottom = last.getBoundingClientRect().bottom + window.scrollY;
  if (bottom + MARGIN <= window.innerHeight) {
    window.scrollTo(0, 0);
    return;
  }
  const above = place.closest('.sheet')?.querySelector('.sheet-top');
  if (above) window.scrollTo(0, above.getBoundingClientRect().bottom + window.scrollY);
  below?.scrollIntoView({ block: 'nearest' });
  place.scrollIntoView({ block: 'nearest' });
}
