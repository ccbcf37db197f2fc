// What the board does so often that time counts for more than memory there; all else may be folded
// (nest.ts). Names as in the readable bundle; the tests tell when one of them is gone.
import type { NestOptions } from './nest';

/** In every turn of the main loop. */
const EVERY_TURN = [
  ...['loop', 'pulse', 'feedWatchdog', 'turn', 'coreTurn', 'readInputs', 'hasNews'],
  ...['linkHalfTurn', 'linkTurn', 'mqttTick', 'sendReply', 'sendRecord', 'sendState', 'sendLive'],
];

/** At every reading of the lamps, up to four times a second, some of it for every lamp. */
const EVERY_READING = [
  ...['readLamps', 'step', 'readSenses', 'settle', 'dischargeStep', 'abortReason', 'auxDisagrees', 'sample'],
  ...['judgeSample', 'judgeLamp', 'mark', 'judgePoints', 'requiredMs', 'decide', 'isTogether', 'notePoint'],
  ...['findNextEnd', 'recordCurves', 'addToCurve', 'swing'],
];

export const NESTING: NestOptions = {
  often: [...EVERY_TURN, ...EVERY_READING],
  // Its one inner function is handed to the reading of the journal, which is over when it returns.
  passing: ['newController'],
};

/** Of a converter's driver, for every lamp. */
const DRIVER = ['selectLamp', 'readLamp'];
/** Of the core, at every reading or for every slot. */
const PREDICATES = ['isMissed', 'isEarlyPoint', 'isFullPoint', 'isLampEnd', 'isPlaceDue', 'isTimeOver'];

/** Functions that are put in place of their calls where they are one line (inline.ts). */
export const INLINED = [...DRIVER, ...PREDICATES];
