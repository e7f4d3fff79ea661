import assert from 'node:assert/strict';
import { test } from 'node:test';

import { BURST_MS, countWords, LINE_BREAK, textToSend } from '../../frontend/logic/search.js';
import { isForBox } from '../../frontend/logic/stray_keys.js';
import { update } from '../../frontend/logic/whole_page.js';
import { after, answer, opened, SIGNATURE, verdict } from './making.mjs';

const typed = (text, at) => ({ type: 'typed', text, at });
const enter = (at, repeat = false) => ({ type: 'enter-pressed', at, repeat });
const found = (asked, ...lines) => ({ type: 'found', asked, answer: answer(...lines) });
/** One line fits best, and others follow that fit less well. */
const foundOne = (asked, ...lines) => ({ type: 'found', asked, answer: { ...answer(...lines), fits: 1 } });
const down = { type: 'highlight-moved', by: 1 };
const up = { type: 'highlight-moved', by: -1 };
const drawn = { type: 'signature-drawn', strokes: [[[1, 2, 0]]] };

/** Types character by character, `gap` ms apart, starting at `from`. */
const typing = (text, gap, from = 1000) =>
  [...text].map((_, place) => typed(text.slice(0, place + 1), from + place * gap));

test('an answer to an older question never overwrites a newer one', () => {
  const state = after(typed('c', 1000), typed('ca', 1100), found(2, 'new'), found(1, 'old'));
  assert.deepEqual(state.search.matches.map((each) => each.line_id), ['new']);
});

test('the one line that fits best is highlighted, and Enter opens it', () => {
  const state = after(...typing('cas', 80), foundOne(3, 'a', 'b'), enter(2000));
  assert.equal(state.search.opening, 'a');
});

test('where several lines fit equally none is highlighted, and Enter opens none but says so', () => {
  const state = after(typed('c', 1000), found(1, 'a', 'b'), enter(2000));
  assert.equal(state.search.highlighted, null);
  assert.equal(state.search.opening, null);
  assert.equal(state.search.mustChoose, true);
  assert.deepEqual([state.said.key, state.said.facts.n], ['finder.choose', 2]);
  assert.equal(update(state, down).search.mustChoose, false);
  assert.equal(update(state, typed('ca', 2500)).search.mustChoose, false);
});

test('a hasty Enter before several lines come is told to choose, too', () => {
  const state = after(typed('c', 1000), enter(1200), found(1, 'a', 'b'), { type: 'fits-told' });
  assert.equal(state.search.mustChoose, true);
  assert.equal(state.said.key, 'finder.choose');
});

test('Enter opens the line that the arrows chose, and the arrows go round', () => {
  const opens = (...keys) => after(typed('c', 1000), found(1, 'a', 'b', 'c'), ...keys, enter(2000)).search.opening;
  assert.equal(opens(down), 'a');
  assert.equal(opens(up), 'c');
  assert.equal(opens(down, down), 'b');
  assert.equal(opens(up, down), 'a');
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

test('a scanned card whose birth date is on no line opens nobody, even where one line fits', () => {
  const namesake = { ...answer('a'), fits: 1, ignored: ['birth date'] };
  const state = after(typed('card', 1000), enter(1200), { type: 'found', asked: 1, answer: namesake });
  assert.equal(state.search.opening, null);
  assert.equal(state.search.highlighted, null);
});

test('what to ask for comes with the answer and goes with the text', () => {
  const several = { ...answer('a', 'b'), ask_for: 'birth_date' };
  const state = after(typed('c', 1000), { type: 'found', asked: 1, answer: several });
  assert.equal(state.search.askFor, 'birth_date');
  assert.equal(update(state, typed('', 1500)).search.askFor, null);
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
    up,
    { type: 'asked-again' },
    found(2, 'x', 'a', 'b'),
  );
  assert.equal(state.search.matches[state.search.highlighted].line_id, 'b');
  const none = after(typed('c', 1000), found(1, 'a', 'b'), { type: 'asked-again' }, found(2, 'a', 'b'));
  assert.equal(none.search.highlighted, null);
});

test('a new question forgets the line that was chosen among the answers before', () => {
  const state = after(typed('c', 1000), found(1, 'a', 'b'), up, typed('ca', 1200), found(2, 'x', 'b'));
  assert.equal(state.search.highlighted, null);
  assert.equal(update(state, { ...foundOne(2, 'x', 'b') }).search.highlighted, 0);
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

test('a key that prints goes into the box from anywhere that takes no text', () => {
  const key = (more) => ({ key: 'd', isModified: false, isInField: false, ...more });
  assert.equal(isForBox(key({})), true);
  assert.equal(isForBox(key({ key: '7' })), true);
  assert.equal(isForBox(key({ key: '@' })), true);
  // The first half of an accented letter.
  assert.equal(isForBox(key({ key: 'Dead' })), true);
  assert.equal(isForBox(key({ isInField: true })), false);
  assert.equal(isForBox(key({ isModified: true })), false);
  for (const other of ['Enter', 'Tab', 'Escape', 'ArrowDown', 'F5', 'Shift', 'Backspace']) {
    assert.equal(isForBox(key({ key: other })), false, other);
  }
});

test('Space presses what has the focus and is never the beginning of a name', () => {
  assert.equal(isForBox({ key: ' ', isModified: false, isInField: false }), false);
});

test('a half-made signature that is typed away is told as not recorded until the next line', () => {
  const state = after(...opened(verdict('sign')), drawn, typed('d', 3000), typed('di', 3100));
  assert.equal(state.sheet, null);
  assert.deepEqual([state.notice.key, state.notice.facts.name], ['signing.left', 'Castellane, Orsolya']);
  assert.equal(state.said.key, 'signing.left');
  assert.equal(update(state, { type: 'line-opened', lineId: 'b', name: 'Castor, Ione', at: 9000 }).notice, null);
});

test('Escape from a half-made signature tells the same', () => {
  const state = after(...opened(verdict('sign')), drawn, { type: 'sheet-left' });
  assert.equal(state.notice.key, 'signing.left');
  assert.equal(update(state, { type: 'box-cleared' }).notice, null);
});

test('an empty pad, or a signature that is on its way, is not told as not recorded', () => {
  assert.equal(after(...opened(verdict('sign')), typed('d', 3000)).notice, null);
  assert.equal(after(...opened(verdict('sign')), drawn, SIGNATURE, typed('d', 3000)).notice, null);
});

test('the verdict of a line that was left is no longer in the live region', () => {
  assert.equal(after(...opened(verdict('stop')), { type: 'sheet-left' }).said.key, null);
  assert.equal(after(...opened(verdict('stop')), typed('d', 3000)).said.key, null);
});

test('one line is said to fit only where no other is shown', () => {
  const told = (fits, ...lines) =>
    after(typed('c', 1000), { type: 'found', asked: 1, answer: { ...answer(...lines), fits } }, {
      type: 'fits-told',
    }).said.key;
  assert.equal(told(1, 'a'), 'finder.fits');
  assert.equal(told(1, 'a', 'b'), 'finder.best');
  assert.equal(told(40, 'a', 'b'), 'finder.more');
  assert.equal(told(0), 'finder.nothing');
  assert.deepEqual(countWords({ fits: 40, matches: [1, 2] }), ['finder.more', { n: 40, shown: 2 }]);
});

test('Enter where no line fits asks for the way on, once for each Enter', () => {
  const nothing = { type: 'found', asked: 1, answer: { matches: [], ignored: [], fits: 0 } };
  const state = after(typed('quixote', 1000), nothing, enter(2000));
  assert.equal(state.search.lostAt, 2000);
  assert.equal(update(state, enter(3000)).search.lostAt, 3000);
});

test('Enter before the answer asks for no way on, and lines that fit are no reason for one', () => {
  assert.equal(after(typed('quixote', 1000), enter(2000)).search.lostAt, null);
  assert.equal(after(typed('c', 1000), found(1, 'a', 'b'), enter(2000)).search.lostAt, null);
});

const digit = (place, at, repeat = false) => ({ type: 'digit-pressed', place, at, repeat });

test('Alt and a digit open the line with that digit, chosen or not', () => {
  const state = after(typed('cas', 1000), found(1, 'a', 'b', 'c'));
  assert.equal(update(state, digit(2, 3000)).search.opening, 'c');
  assert.equal(update(state, digit(0, 3000)).search.opening, 'a');
});

test('a digit without its line, a held key and a key inside a scan open nothing', () => {
  const state = after(typed('cas', 1000), found(1, 'a', 'b'));
  assert.equal(update(state, digit(2, 3000)).search.opening, null);
  assert.equal(update(state, digit(0, 3000, true)).search.opening, null);
  assert.equal(update(state, digit(0, 1020)).search.opening, null);
});

test('a digit opens no line of an older answer, and none over an open line', () => {
  const older = after(typed('cas', 1000), found(1, 'a', 'b'), typed('cast', 2000));
  assert.equal(update(older, digit(0, 3000)).search.opening, null);
  const open = after(typed('cas', 1000), found(1, 'a', 'b'), ...opened(verdict('sign')));
  assert.equal(update(open, digit(1, 5000)).search.opening, null);
});
