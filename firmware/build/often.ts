// What the board does so often that time counts for more than memory; everything else may be folded
// (nest.ts). Names as in the readable bundle; a test fails when one of them no longer exists.
import type { NestOptions } from './nest';

/** In every turn of the main loop. */
const EVERY_TURN = [
  ...['loop', 'pulse', 'feedWatchdog', 'coreTurn', 'readInputs', 'hasNews'],
  ...['linkHalfTurn', 'linkTurn', 'mqttTick', 'sendReply', 'sendRecord', 'sendState', 'sendLive'],
];

/** At every reading of the lamps, up to four times a second; some of it for every lamp. */
const EVERY_READING = [
  ...['readLamps', 'step', 'readSenses', 'settle', 'dischargeStep', 'abortReason', 'auxDisagrees', 'sample'],
  ...['judgeSample', 'judgeLamp', 'weigh', 'requiredMs', 'decide', 'isTogether', 'notePoint'],
  ...['findNextEnd', 'recordCurves', 'addToCurve', 'swing'],
];

export const NESTING: NestOptions = {
  often: [...EVERY_TURN, ...EVERY_READING],
  // Its one inner function is passed to the journal's reader, which is done with it when it returns.
  passing: ['newController'],
};
