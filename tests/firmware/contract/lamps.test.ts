import { expect, it } from 'vitest';
import { allModes, lampsText, MODE_WORDS, Mode, modeOf } from '../../../firmware/contract/lamps';

it('every mode has a name of its own and is found by it', () => {
  const words = allModes().map((mode) => MODE_WORDS[mode]);
  expect(new Set(words).size).toBe(words.length);
  expect(words.map(modeOf)).toEqual(allModes());
  expect(Object.keys(MODE_WORDS).map(Number)).toEqual(allModes());
});

it('luminaires are written in the settings as rows of mode, mA on battery, mA on mains and rated seconds', () => {
  const exit = { mode: Mode.Maintained, batteryMilliamps: 200, mainsMilliamps: 310, ratedSec: 10_800 };
  const stair = { mode: Mode.Combined, batteryMilliamps: 150, mainsMilliamps: 0, ratedSec: 3600 };
  expect(lampsText([exit, stair])).toBe('1,200,310,10800;3,150,0,3600;');
  expect(lampsText([])).toBe('');
});
