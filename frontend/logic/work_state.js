/** Small readings and changes of the day's work, shared by its modules. Pure. */

export const withWork = (state, changes) => ({ ...state, dayWork: { ...state.dayWork, ...changes } });

export const whileAtWork = (change) => (state, event, tables) =>
  state.dayWork ? change(state, event, tables) : state;

/** Ballots on paper are counted here, not machines. */
export const countsPaper = ({ day }) => day?.policy?.counted_by === 'paper_ballots';
