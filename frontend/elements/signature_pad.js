/**
 * <signature-pad>: draws with finger, pen or mouse and hands the strokes on after each one.
 *
 * Property `strokes` is what stands on the pad (see logic/strokes.js); `ondrawn` is called
 * with the new strokes. The element keeps nothing else.
 */

import { begun, continued, RANGE, scaledPoint } from '../logic/strokes.js';

const INK_WIDTH = 2.5;

class SignaturePad extends HTMLElement {
  #strokes = [];
  #drawing = null;
  #firstTouchAt = null;
  #canvas = null;
  #watch = null;
  ondrawn = () => {};

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

  #point(event) {
    const box = this.#canvas.getBoundingClientRect();
    this.#firstTouchAt ??= event.timeStamp;
    const ms = event.timeStamp - this.#firstTouchAt;
    return scaledPoint({ x: event.clientX - box.left, y: event.clientY - box.top, ms }, box);
  }

  #touch(event) {
    if (event.button !== 0 || this.#drawing !== null) return;
    event.preventDefault();
    this.setPointerCapture(event.pointerId);
    this.#drawing = event.pointerId;
    this.#strokes = begun(this.#strokes, this.#point(event));
    this.#redraw();
  }

  #move(event) {
    if (event.pointerId !== this.#drawing) return;
    const moves = event.getCoalescedEvents?.() ?? [];
    for (const move of moves.length ? moves : [event]) {
      this.#strokes = continued(this.#strokes, this.#point(move));
    }
    this.#redraw();
  }

  #lift(event) {
    if (event.pointerId !== this.#drawing) return;
    this.#drawing = null;
    this.ondrawn(this.#strokes);
  }

  #redraw() {
    const { clientWidth: width, clientHeight: height } = this;
    const density = window.devicePixelRatio || 1;
    this.#canvas.width = width * density;
    this.#canvas.height = height * density;
    const path = new Path2D();
    for (const stroke of this.#strokes) drawStroke(path, stroke);
    const toPixels = new DOMMatrix().scale((width * density) / RANGE, (height * density) / RANGE);
    const scaled = new Path2D();
    scaled.addPath(path, toPixels);
    const ink = this.#canvas.getContext('2d');
    ink.lineWidth = INK_WIDTH * density;
    ink.lineCap = 'round';
    ink.lineJoin = 'round';
    ink.strokeStyle = getComputedStyle(this).color;
    ink.stroke(scaled);
  }
}

/** A stroke of one point is a dot: a line of no length, drawn by its round ends. */
function drawStroke(path, stroke) {
  const [[startX, startY]] = stroke;
  path.moveTo(startX, startY);
  for (const [x, y] of stroke.length > 1 ? stroke.slice(1) : stroke) path.lineTo(x, y);
}

customElements.define('signature-pad', SignaturePad);
