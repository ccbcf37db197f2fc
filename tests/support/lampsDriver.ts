// What tests of the board's ways of sensing the lamps share.
import type { Wiring } from '../../firmware/board/config';
import { Reason } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { Inputs } from '../../firmware/core/inputs';

/** A driver in firmware/board/lamps, as a test loads it. */
export interface LampsDriver {
  setUpLamps(wiring: object, pins: object): void;
  readLamps(inputs: Inputs, count: number, since: number): number;
}

/** Address of a file of the board, which the compiler does not follow: the interpreter's types clash with Node's. */
export const boardFile = (name: string): string =>
  new URL(`../../firmware/board/${name}.ts`, import.meta.url).href;

export const WIRING: Wiring = {
  ...{
    relay: 'R',
    enable: 'Re',
    red: 'L',
    before: 'A',
    after: 'B',
    aux: '',
    occupied: '',
    stop: '',
    key: '',
  },
  ...{ zero: 0.5, spanMilliamps: 4096 },
};

/** In place of the reading of a module that was not heard. */
export const SILENT = Limit.Unheard;
export const SLOW = Limit.Unheard + Reason.SensorSlow - Reason.SensorSilent;
export const CLASH = Limit.Unheard + Reason.SensorClash - Reason.SensorSilent;
export const GARBLED = Limit.Unheard + Reason.SensorGarbled - Reason.SensorSilent;
