// The server's sentences have the typewriter's apostrophe, as the command's have: on the page it is set in type.

/** Sets the apostrophes between two letters, and after an s before a space. @param {string} sentence */
export const apostrophes = (sentence) => sentence.replace(/(?<=\p{L})'(?=\p{L})|(?<=s)'(?= )/gu, '’');
