/** The worker's round: asked for once they are signed on, and moved on by the buttons of the card. */

// With the server gone the question is not asked with every other one.
const AGAIN_MS = 2000;

export const practiceActs = (markPage) => (desk) => {
  let askedFor = null;
  let askedAt = -Infinity;

  const workerNow = () => desk.state.day?.worker?.worker_id ?? null;

  async function take(question, worker, does) {
    const answer = await desk.heard(question);
    const problem = desk.problemOf(answer);
    if (problem) desk.send({ type: 'practice-refused', worker, problem });
    else desk.send({ type: 'practice-came', worker, round: answer.body, does });
    return !problem;
  }

  async function ask(worker) {
    askedFor = worker;
    askedAt = desk.now();
    desk.send({ type: 'practice-asked', worker });
    const isHere = await take(desk.get('/practice'), worker, null);
    if (!isHere) askedFor = null;
  }

  const posts = (does) => () => take(desk.post(`/practice/${does}`, {}), workerNow(), does);

  return {
    follow() {
      const { state } = desk;
      markPage(state, desk.vocabularies.sayingsIn(state.language));
      const worker = workerNow();
      const isDue = worker !== askedFor && desk.now() - askedAt > AGAIN_MS;
      if (state.view === 'table' && worker && isDue && state.connection.isReachable) ask(worker);
    },
    effects: {
      'practice-begin-pressed': posts('begin'),
      'practice-end-pressed': posts('end'),
      'practice-again-pressed': posts('again'),
      'practice-score-asked': () =>
        desk.openPaper(`/papers/practice-score.pdf?language=${desk.state.language}`, 'practice-score-missing'),
      'signed-off': () => {
        askedFor = null;
        askedAt = -Infinity;
      },
    },
  };
};
