// Sentences within others.

/** As it stands behind a colon. @param {string} sentence */
export const lower = (sentence) => sentence.charAt(0).toLowerCase() + sentence.slice(1);
