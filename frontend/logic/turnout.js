/** The turnout so far as it is shown: rows of hours with their bars, and shares. Pure. */

// Of the bar of the fullest hour.
const FULL = 100;

/**
 * The hours as rows: `signed` is null for an hour that has not begun, `width` from 0 to 100 is of
 * the fullest hour, `isNow` that it is not over yet.
 */
export function hourRows({ hours, as_of: asOf }) {
  const most = Math.max(1, ...hours.map(({ signed }) => signed));
  return hours.map((hour) => ({
    key: hour.from,
    from: hour.local_from,
    to: hour.local_to,
    signed: hour.from > asOf ? null : hour.signed,
    soFar: hour.signed_so_far,
    width: hour.from > asOf ? 0 : Math.round((hour.signed / most) * FULL),
    isNow: hour.from <= asOf && asOf < hour.to,
  }));
}

/** `0.3125` as `31.3 %` is written in the language; empty where there is no share. */
export const shareWords = (share, language) =>
  share === null
    ? ''
    : new Intl.NumberFormat(language, { style: 'percent', maximumFractionDigits: 1 }).format(share);
