// Sizes of a picture to the canvas's that proportional dividers are marked with.

/** 1 is true size. @type {[value: string, name: string, ratio: number][]} */
export const RATIOS = [['1:1', 'True size', 1], ['3:4', '3:4', 3 / 4], ['2:3', '2:3', 2 / 3], ['1:2', '1:2', 1 / 2], ['1:3', '1:3', 1 / 3], ['1:4', '1:4', 1 / 4], ['1:6', '1:6', 1 / 6]];
