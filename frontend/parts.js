/**
 * The parts of the page that are not on it from the start, and the events by which the table
 * gets to each: whatever else belongs to a part is sent by the part itself. `needs` are the
 * parts that it stands on. Its words are those of `words/parts.json` under the same name.
 */

export const PARTS = {
  way: {
    opensWith: ['lost-opened', 'line-way-opened', 'helper-wanted'],
    needs: [],
    module: () => import('./parts/way.js'),
    stylesheet: '/styles/ways.css',
  },
  lead: {
    opensWith: ['dialog-opened', 'late-opened', 'lists-opened'],
    needs: ['way'],
    module: () => import('./parts/lead.js'),
    stylesheet: '/styles/late.css',
  },
};

// What is on the page from the start.
export const TABLE = 'table';
