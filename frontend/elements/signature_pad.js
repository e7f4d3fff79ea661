/**
 * <signature-pad>: draws with finger, pen or mouse and hands the strokes on after each one.
 *
 * Property `strokes` is what stands on the pad (see logic/strokes.js); `ondrawn` is called
 * with the new strokes. The element keeps nothing else. Each point is drawn as it comes,
 * and nothing else is drawn again for it: a cheap tablet has no time for more.
 */

import { begun, continued, endOf, pieceAt, RANGE, scaledPoint } from '../logic/strokes.js';

const INK_WIDTH = 2.5;

class SignaturePad extends HTMLElement {
  #strokes = [];
  #drawing = null;
  #firstTouchAt = null;
  #canvas = null;
  #ink = null;
  #watch = null;
  ondrawn = () => {};
  // Points that another pad of the same record has.
  taken = 0;

  connectedCallback() {
    this.#canvas ??= this.appendChild(document.createElement('canvas'));
    this.#watch = new ResizeObserver(() => this.#redraw());
    this.#watch.observe(this);
    this.onpointerdown = (event) => this.#touch(event);
    this.onpointermove = (event) => this.#move(event);
    this.onpointerup = (event) => this.#lift(event);
    this.onpointercancel = (event) => this.#lift(event);
  }

  disconnectedCallback() {
    this.#watch.disconnect();
  }

  get strokes() {
    return this.#strokes;
  }

  /** While a stroke is being drawn the page does not know it yet and may not take it away. */
  set strokes(strokes) {
    if (this.#drawing !== null) return;
    this.#strokes = strokes;
    if (!strokes.length) this.#firstTouchAt = null;
    if (this.#canvas) this.#redraw();
  }

  #point(event, box) {
    this.#firstTouchAt ??= event.timeStamp;
    const ms = event.timeStamp - this.#firstTouchAt;
    return scaledPoint({ x: event.clientX - box.left, y: event.clientY - box.top, ms }, box);
  }

  #touch(event) {
    if (event.button !== 0 || this.#drawing !== null) return;
    event.preventDefault();
    this.setPointerCapture(event.pointerId);
    this.#drawing = event.pointerId;
    this.#add(begun, event, this.#canvas.getBoundingClientRect());
  }

  /** Between two repaints a screen may have felt the finger several times. */
  #move(event) {
    if (event.pointerId !== this.#drawing) return;
    const moves = event.getCoalescedEvents?.() ?? [];
    const box = this.#canvas.getBoundingClientRect();
    for (const move of moves.length ? moves : [event]) this.#add(continued, move, box);
  }

  #add(how, event, box) {
    const strokes = how(this.#strokes, this.#point(event, box), this.taken);
    if (strokes === this.#strokes) return;
    this.#strokes = strokes;
    const stroke = strokes.at(-1);
    this.#draw([pieceAt(stroke, stroke.length - 1)]);
  }

  #lift(event) {
    if (event.pointerId !== this.#drawing) return;
    this.#drawing = null;
    if (this.#strokes.length) this.#draw([endOf(this.#strokes.at(-1))]);
    this.ondrawn(this.#strokes);
  }

  #redraw() {
    const density = window.devicePixelRatio || 1;
    // This empties the canvas and forgets its pen.
    this.#canvas.width = this.clientWidth * density;
    this.#canvas.height = this.clientHeight * density;
    this.#ink = this.#canvas.getContext('2d');
    this.#ink.lineWidth = INK_WIDTH * density;
    this.#ink.lineCap = 'round';
    this.#ink.lineJoin = 'round';
    this.#ink.strokeStyle = getComputedStyle(this).color;
    this.#draw(this.#strokes.flatMap((stroke) => [...stroke.map((_, place) => pieceAt(stroke, place)), endOf(stroke)]));
  }

  /** A piece of no length is a dot: it is drawn by its round ends. */
  #draw(pieces) {
    const across = this.#canvas.width / RANGE;
    const down = this.#canvas.height / RANGE;
    this.#ink.beginPath();
    for (const { from, by, to } of pieces) {
      this.#ink.moveTo(from[0] * across, from[1] * down);
      this.#ink.quadraticCurveTo(by[0] * across, by[1] * down, to[0] * across, to[1] * down);
    }
    this.#ink.stroke();
  }
}

customElements.define('signature-pad', SignaturePad);
