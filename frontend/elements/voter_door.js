/**
 * The way to the voter's window and back: messages between exactly these two windows.
 *
 * A channel by name would be heard by every window of this browser; a message that is posted to
 * the opened window alone, for this origin alone, is heard nowhere else. Nothing of it stands in an
 * address, a store or the history.
 */

const PAGE = '/voter.html';
// Opened again under its name the same window is taken, not a second one.
const NAME = 'voter';
const LOOK = 'popup,width=1024,height=768';

export function voterDoor(heard) {
  let opened = null;
  const isOpen = () => Boolean(opened) && !opened.closed;
  const tell = (message) => isOpen() && opened.postMessage(message, window.origin);

  window.addEventListener('message', (event) => {
    if (isOpen() && event.source === opened && event.origin === window.origin) heard(event.data);
  });
  // The page goes: whoever looks at the other window must not go on seeing the last voter.
  window.addEventListener('pagehide', () => tell({ what: 'nobody', waiting: null }));

  return {
    isOpen,
    tell,
    open() {
      if (isOpen()) opened.focus();
      else opened = window.open(PAGE, NAME, LOOK);
      return isOpen();
    },
  };
}
