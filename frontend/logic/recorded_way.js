/** What is shown once the server has taken a paper, or that somebody was sent on. Pure. */

import { confirmed } from './recorded.js';

function affidavit(state, write, answer) {
  const facts = { name: write.name, button: answer.ballot_button };
  const done = {
    kind: 'affidavit',
    ballotButton: answer.ballot_button,
    how: write.body.how,
    papers: answer.papers,
    lookAlikes: answer.look_alikes,
    flags: answer.flags,
  };
  const signed = { ...write, lineId: answer.line_id };
  return confirmed(state, signed, answer.signed, { key: 'done.said-affidavit', facts }, done);
}

function provisional(state, write, receipt) {
  const { envelope, ballot_class: ballotClass, papers } = receipt;
  const done = {
    kind: 'provisional',
    envelope,
    ballotClass,
    papers,
    ballotButton: write.body.ballot_button,
  };
  const told = { key: 'done.said-provisional', facts: { name: write.name, envelope } };
  return confirmed(state, write, receipt, told, done);
}

function directed(state, write, receipt) {
  const done = { kind: 'directed', way: write.body.way, place: write.place, papers: receipt.papers };
  const told = { key: 'done.said-directed', facts: { name: write.name } };
  return confirmed(state, write, receipt, told, done);
}

export const recordedOnWay = { affidavit, provisional, directed };
