import assert from 'node:assert/strict';
import { test } from 'node:test';

import { codeFault, groupedCode, plainCode } from '../../frontend/logic/spoken_code.js';


test('small letters, spaces and hyphens do not matter, and I, L and O are digits', () => {
  assert.equal(plainCode(' oil0-abcd '), '0110ABCD');
  assert.equal(groupedCode('7kq2mx0d'), '7KQ2-MX0D');
  assert.equal(groupedCode('7kq2'), '7KQ2');
});

const checkOf = (seven) => [...'0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U'].filter((each) => codeFault(seven + each) === null);

test('exactly one check symbol fits seven symbols', () => {
  for (const seven of ['1234567', '0000000', 'ZZZZZZZ', '7KQ2MX0']) assert.equal(checkOf(seven).length, 1);
  assert.deepEqual(checkOf('0000000'), ['0']);
  // The rule of the page, worked out once more: what is left of a division by 37.
  const number = [1, 2, 3, 4, 5, 6, 7].reduce((sum, value) => sum * 32 + value, 0);
  assert.equal('0123456789ABCDEFGHJKMNPQRSTVWXYZ*~$=U'[number % 37], checkOf('1234567')[0]);
});

test('any one wrong symbol is told as misheard', () => {
  const [check] = checkOf('7KQ2MX0');
  const code = `7KQ2MX0${check}`;
  assert.equal(codeFault(code), null);
  for (let place = 0; place < 7; place += 1) {
    const wrong = code[place] === '9' ? '8' : '9';
    assert.equal(codeFault(code.slice(0, place) + wrong + code.slice(place + 1)), 'code-misheard');
  }
  // Two neighbours exchanged are caught, too.
  assert.equal(codeFault(`K7Q2MX0${check}`), 'code-misheard');
});

test('too short, too long, or a letter that is no symbol cannot be read', () => {
  for (const text of ['', '7KQ2', '123456701', 'U2345670', '!2345670']) assert.equal(codeFault(text), 'code-unreadable');
});
