/**
 * The parts of the page that are not on it from the start, and the events by which the table
 * gets to each: whatever else belongs to a part is sent by the part itself. `needs` are the
 * parts that it stands on. Its words are those of `words/parts.json` under the same name.
 */

export const PARTS = {
  way: {
    opensWith: ['lost-opened', 'line-way-opened', 'helper-wanted', 'witness-wanted'],
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
  day: {
    opensWith: ['work-opened'],
    needs: ['lead'],
    module: () => import('./parts/day.js'),
    stylesheet: '/styles/day.css',
  },
  paper_hours: {
    opensWith: ['paper-hours-opened'],
    needs: ['lead'],
    module: () => import('./parts/paper_hours.js'),
    stylesheet: '/styles/paper_hours.css',
  },
  now: {
    opensWith: ['now-opened'],
    needs: [],
    module: () => import('./parts/now.js'),
    stylesheet: '/styles/now.css',
  },
  stations: {
    opensWith: ['stations-opened'],
    needs: ['now'],
    module: () => import('./parts/stations.js'),
    stylesheet: '/styles/stations.css',
  },
  voter: {
    opensWith: ['voter-screen-wanted'],
    needs: [],
    module: () => import('./parts/voter.js'),
    stylesheet: '/styles/voter_panel.css',
  },
  // Fetched as soon as the server says that this laptop follows another one.
  standby: {
    opensWith: ['take-over-wanted'],
    needs: ['lead'],
    module: () => import('./parts/standby.js'),
    stylesheet: '/styles/standby.css',
  },
  // Fetched as soon as the server says that this is a practice day.
  practice: {
    opensWith: [],
    needs: [],
    module: () => import('./parts/practice.js'),
    stylesheet: '/styles/practice.css',
  },
  // Fetched as soon as the page warns: see the controller.
  cover: {
    opensWith: [],
    needs: [],
    module: () => import('./parts/cover.js'),
    stylesheet: '/styles/cover.css',
  },
};

// What is on the page from the start.
export const TABLE = 'table';
