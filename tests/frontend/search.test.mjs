import assert from 'node:assert/strict';
import { test } from 'node:test';

import { BURST_MS, LINE_BREAK, textToSend } from '../../frontend/logic/search.js';
import { after, answer, opened, verdict } from './making.mjs';

const typed = (text, at) => ({ type: 'typed', text, at });
const enter = (at, repeat = false) => ({ type: 'enter-pressed', at, repeat });
const found = (asked, ...lines) => ({ type: 'found', asked, answer: answer(...lines) });

/** Types character by character, `gap` ms apart, starting at `from`. */
const typing = (text, gap, from = 1000) =>
  [...text].map((_, place) => typed(text.slice(0, place + 1), from + place * gap));

test('an answer to an older question never overwrites a newer one', () => {
  const state = after(typed('c', 1000), typed('ca', 1100), found(2, 'new'), found(1, 'old'));
  assert.deepEqual(state.search.matches.map((each) => each.line_id), ['new']);
});

test('the first line is highlighted, and Enter opens it', () => {
  const state = after(...typing('cas', 80), found(3, 'a', 'b'), enter(2000));
  assert.equal(state.search.opening, 'a');
});

test('Enter opens the line that the arrows chose, and the arrows go round', () => {
  const down = { type: 'highlight-moved', by: 1 };
  const up = { type: 'highlight-moved', by: -1 };
  assert.equal(after(typed('c', 1000), found(1, 'a', 'b'), down, enter(2000)).search.opening, 'b');
  assert.equal(after(typed('c', 1000), found(1, 'a', 'b'), up, enter(2000)).search.opening, 'b');
});

test('Enter before the answer never opens a line of the answer before it', () => {
  const state = after(typed('c', 1000), found(1, 'a'), typed('cx', 1100), enter(1200));
  assert.equal(state.search.opening, null);
  assert.equal(after(typed('c', 1000), enter(1200), found(1, 'a', 'b')).search.opening, null);
  assert.equal(after(typed('c', 1000), enter(1200), found(1, 'a')).search.opening, 'a');
});

test('a single line shown of many that fit is not opened by a hasty Enter', () => {
  const many = { type: 'found', asked: 1, answer: { ...answer('a'), fits: 40 } };
  assert.equal(after(typed('c', 1000), enter(1200), many).search.opening, null);
});

test('lines that fit less well do not keep a scan from opening the one that is meant', () => {
  const best = { type: 'found', asked: 1, answer: { ...answer('a', 'b'), fits: 1 } };
  assert.equal(after(typed('c', 1000), enter(1200), best).search.opening, 'a');
});

test('a held Enter key opens nothing', () => {
  assert.equal(after(typed('c', 1000), found(1, 'a'), enter(2000, true)).search.opening, null);
});

test('typing on after a hasty Enter takes the Enter back', () => {
  const state = after(typed('c', 1000), enter(1200), typed('ca', 1300), found(2, 'a'));
  assert.equal(state.search.opening, null);
});

test('the Enter that ends a scanned number opens the one line it fits', () => {
  const scan = typing('0417-00212', 4);
  const state = after(...scan, enter(1040), { type: 'burst-ended' }, found(scan.length, 'a'));
  assert.equal(state.search.opening, 'a');
  assert.equal(state.search.text, '0417-00212');
});

test('an Enter inside a scanned card is a line break, and opens nothing', () => {
  const state = after(...typing('@ANSI', 4), enter(1020), typed(`@ANSI${LINE_BREAK}D`, 1024));
  assert.equal(state.search.opening, null);
  assert.equal(state.search.isHeld, false);
  assert.equal(textToSend(state.search), '@ANSI\nD');
  assert.equal(after(...typing('@ANSI', 4), enter(1020)).search.isEntering, false);
});

test('only keys closer together than a person can type count as a scan', () => {
  assert.equal(after(...typing('ca', BURST_MS - 1)).search.isBurst, true);
  assert.equal(after(...typing('ca', BURST_MS)).search.isBurst, false);
});

test('an emptied box shows no lines, and a late answer brings none back', () => {
  const state = after(typed('c', 1000), typed('', 1100), found(1, 'a'));
  assert.deepEqual(state.search.matches, []);
});

test('a refresh keeps the highlight on the same person, not on the same place', () => {
  const state = after(
    typed('c', 1000),
    found(1, 'a', 'b'),
    { type: 'highlight-moved', by: 1 },
    { type: 'asked-again' },
    found(2, 'x', 'a', 'b'),
  );
  assert.equal(state.search.matches[state.search.highlighted].line_id, 'b');
});

test('a new question starts at the first line again', () => {
  const state = after(
    typed('c', 1000),
    found(1, 'a', 'b'),
    { type: 'highlight-moved', by: 1 },
    typed('ca', 1200),
    found(2, 'x', 'b'),
  );
  assert.equal(state.search.highlighted, 0);
});

test('typing while a sheet is open goes on to the next voter', () => {
  const state = after(...opened(verdict('sign')), typed('d', 3000));
  assert.equal(state.sheet, null);
});

test('leaving the sheet keeps the text and puts the focus in the box', () => {
  const state = after(typed('cas', 1000), found(1, 'a'), ...opened(verdict('sign')), {
    type: 'sheet-left',
  });
  assert.equal(state.search.text, 'cas');
  assert.equal(state.focus.on, 'box');
});

test('with a sheet open, Enter and arrows in the box do nothing', () => {
  const state = after(typed('cas', 1000), found(1, 'a', 'b'), ...opened(verdict('sign')));
  const { search } = after(
    typed('cas', 1000),
    found(1, 'a', 'b'),
    ...opened(verdict('sign')),
    { type: 'highlight-moved', by: 1 },
    enter(5000),
  );
  assert.deepEqual(search, state.search);
});
