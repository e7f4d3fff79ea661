import assert from 'node:assert/strict';
import { test } from 'node:test';

import { vocabulary } from '../../frontend/vocabulary.js';

const WORDS = {
  en: { table: { finder: { nothing: 'No line fits.' } }, way: { way: { keys: 'Arrow down.' } } },
  es: { table: { finder: { nothing: 'Ninguna línea.' } } },
};
const get = async (language, part) => {
  const found = WORDS[language][part];
  if (!found) throw new TypeError('gone');
  return found;
};

test('a language learns further words part by part, and keeps those that it had', async () => {
  const kept = vocabulary(get);
  await kept.learn('en', 'table');
  assert.equal(kept.sayingsIn('en').has('way.keys'), false);
  await kept.learn('en', 'way');
  assert.equal(kept.sayingsIn('en')('finder.nothing'), 'No line fits.');
  assert.equal(kept.sayingsIn('en')('way.keys'), 'Arrow down.');
});

test('what one language knows another need not know, and words that do not come change nothing', async () => {
  const kept = vocabulary(get);
  await kept.learn('es', 'table');
  assert.deepEqual([kept.knows('es', 'table'), kept.knows('en', 'table'), kept.knows('es', 'way')], [true, false, false]);
  await assert.rejects(kept.learn('es', 'way'), TypeError);
  assert.equal(kept.knows('es', 'way'), false);
  assert.equal(kept.sayingsIn('es')('finder.nothing'), 'Ninguna línea.');
});
