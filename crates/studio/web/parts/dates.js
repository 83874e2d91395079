// Moments as a painter reads them, in the language of the browser.

/** A moment of which the zone is told (RFC 3339), or else the clock on the wall where it was. @param {string} made */
export function dateOf(made) {
  const moment = new Date(made.replace(' ', 'T'));
  // A clock that was never set, or a leap second.
  return Number.isNaN(moment.valueOf()) ? made : moment.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}
