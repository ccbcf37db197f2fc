// A luminaire as both sides know it: its mode, its row in the settings and its row in a result. To add a
// mode, give it the next number and follow the compiler, which asks for its line in each table.

/** How a luminaire is meant to operate; see IEC 60598-2-22 annex B (mode digit of the marking box). */
export const enum Mode {
  NonMaintained = 0,
  Maintained = 1,
  SwitchedMaintained = 2,
  Combined = 3,
}

/**
 * Whether a lamp is lit on mains, and so how it is judged before a test. On battery every lamp must be lit.
 */
export const enum OnMains {
  /** Being lit is a finding; the sensor reading of a dark lamp is its zero offset. */
  Dark = 0,
  /** Being dark is a finding. */
  Lit = 1,
  /** Follows its switch: neither is a finding. */
  Either = 2,
}

/**
 * How each mode is judged on mains; settings with any other mode are refused. Keys are the numbers of `Mode`,
 * because ES5 has no computed keys.
 */
export const ON_MAINS: { [M in Mode]: OnMains } = {
  0: OnMains.Dark,
  1: OnMains.Lit,
  2: OnMains.Either,
  3: OnMains.Dark,
};

/** The names of the modes in site files and on the page. The firmware never uses them, to save memory. */
export const MODE_WORDS = {
  0: 'non-maintained',
  1: 'maintained',
  2: 'switched maintained',
  3: 'combined',
} as const satisfies { [M in Mode]: string };

export type ModeWord = (typeof MODE_WORDS)[Mode];

/** Every mode, in numerical order. */
export function allModes(): Mode[] {
  const modes: Mode[] = [];
  for (let mode: Mode = 0; ON_MAINS[mode] !== undefined; mode++) modes.push(mode);
  return modes;
}

/** The mode with that name. */
export function modeOf(word: ModeWord): Mode {
  return allModes().filter((mode) => MODE_WORDS[mode] === word)[0];
}

/** Columns of a luminaire's row in the settings: mode, lamp current on battery and on mains, mA, rated duration, s. */
export const enum LampColumn {
  Mode = 0,
  Battery = 1,
  Mains = 2,
  Rated = 3,
  Count = 4,
}

/** Commissioned values of a luminaire. */
export interface LampSettings {
  mode: Mode;
  batteryMilliamps: number;
  /** 0 where the lamp is dark on mains. */
  mainsMilliamps: number;
  ratedSec: number;
}

/** The rows of `lamps` in the settings, in sensor order. */
export function lampsText(lamps: LampSettings[]): string {
  let text = '';
  for (let i = 0; i < lamps.length; i++) {
    const row: number[] = [];
    row[LampColumn.Mode] = lamps[i].mode;
    row[LampColumn.Battery] = lamps[i].batteryMilliamps;
    row[LampColumn.Mains] = lamps[i].mainsMilliamps;
    row[LampColumn.Rated] = lamps[i].ratedSec;
    text += row.join(',') + ';';
  }
  return text;
}

/** Columns of a luminaire's row in a result. */
export const enum ResultColumn {
  Verdict = 0,
  Reason = 1,
  /** Seconds lit. */
  Lit = 2,
  /** mA at 5 s, at 60 s and at the end, with the zero offset removed. */
  At5 = 3,
  At60 = 4,
  End = 5,
  /**
   * Mean before the opening, mA: the sensor's zero offset where the lamp should be dark on mains, the lamp's
   * current where it is lit on mains; also 0 where it was not read.
   */
  OnMains = 6,
  Count = 7,
}
