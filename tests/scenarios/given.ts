// What a scenario is given: settings, luminaires, plan and the state of the world at the start.
import type { TestKind } from '../../firmware/contract/codes';
import { allModes, type LampSettings, lampsText, MODE_WORDS, modeOf } from '../../firmware/contract/lamps';
import type { PlanMessage, SettingsMessage } from '../../firmware/contract/messages';
import { slotsText } from '../../firmware/contract/plan';
import { SETTINGS as BENCH_SETTINGS, START as BENCH_START } from '../firmware/core/bench';
import { DAY_MS, fail, instantMs, type Line, type Script, spanMs } from './script';
import { INPUTS, kindOf } from './words';

/** UTC second at which the first day begins. */
export const START = BENCH_START;

/** The standard circuit of the core's own tests, with the fields that a message may leave out. */
const { lamps: _ownLuminaires, ...STANDARD } = BENCH_SETTINGS;
const SETTINGS = { ...STANDARD, firstChargeSec: 0, commissionSec: 0, limited: 0, chargeMilliamps: 0 };

/** One of each mode, 1 h rated. */
const LUMINAIRES: LampSettings[] = allModes().map((mode) => {
  const mainsMilliamps =
    MODE_WORDS[mode].includes('maintained') && MODE_WORDS[mode] !== 'non-maintained' ? 300 : 0;
  return { mode, batteryMilliamps: 200, mainsMilliamps, ratedSec: 3600 };
});

interface Slot {
  test: number;
  kind: TestKind;
  start: number;
  end: number;
}

export interface Given {
  /** Undefined: the controller is not commissioned. */
  settings: SettingsMessage | undefined;
  luminaires: LampSettings[];
  /** Undefined: the fallback schedule applies. */
  plan: PlanMessage | undefined;
  isClockSet: boolean;
  /** Whether records are acknowledged. */
  isLogBookThere: boolean;
  journalBytes: number;
}

class Reader {
  private readonly settings = { ...SETTINGS };
  private readonly own: LampSettings[] = [];
  private readonly slots: Slot[] = [];
  private until: number | undefined;
  private isCommissioned = true;
  private readonly rest = { isClockSet: true, isLogBookThere: true, journalBytes: 65_536 };

  constructor(private readonly file: string) {}

  read(line: Line): void {
    const [what, ...words] = line.text.slice('given '.length).trim().split(' ');
    if (what === 'settings') for (const word of words) this.setting(line, word);
    else if (what === 'luminaire') this.luminaire(line, words.join(' '));
    else if (what === 'plan') this.planned(line, words.join(' '));
    else this.state(line, [what, ...words].join(' '));
  }

  private setting(line: Line, word: string): void {
    const [name, value] = word.split('=');
    if (!(name in this.settings) || value === undefined)
      fail(this.file, line, `"${word}" is no setting such as briefSec=120 or fitted=stop+key`);
    const inputs = value.split('+').map((input) => INPUTS.get(input) ?? Number(input));
    const number = name === 'fitted' ? inputs.reduce((sum, bit) => sum | bit, 0) : Number(value);
    if (inputs.some(Number.isNaN)) fail(this.file, line, `"${value}" is no value of ${name}`);
    Object.assign(this.settings, { [name]: number });
  }

  private luminaire(line: Line, text: string): void {
    const found = /^([a-z -]+?) (\d+)mA on battery, (\d+)mA on mains, (\S+) rated$/.exec(text);
    const ratedMs = found ? spanMs(found[4]) : undefined;
    const mode = allModes().find((one) => MODE_WORDS[one] === found?.[1]);
    if (!found || ratedMs === undefined || mode === undefined)
      fail(this.file, line, 'a luminaire is "maintained 200mA on battery, 300mA on mains, 1h rated"');
    const [, , battery, mains] = found;
    this.own.push({
      mode: modeOf(MODE_WORDS[mode]),
      ...{ batteryMilliamps: Number(battery), mainsMilliamps: Number(mains), ratedSec: ratedMs / 1000 },
    });
  }

  private planned(line: Line, text: string): void {
    const until = /^until (d\d+ .*)$/.exec(text);
    const found = /^(?:test (\d+) )?([a-z]+) (d\d+ \d\d:\d\d) to (\d\d:\d\d)$/.exec(text);
    const from = instantMs((until ?? found?.slice(2))?.[1] ?? '');
    const kind = kindOf(found?.[2] ?? 'window');
    if (from === undefined || kind < 0)
      fail(
        this.file,
        line,
        'a plan is "test 1 brief d2 01:00 to 06:00", "window d2 01:00 to 06:00" or "until d9 00:00"',
      );
    if (until) this.until = START + from / 1000;
    if (!found) return;
    const midnight = Math.floor(from / DAY_MS) * DAY_MS;
    const clock = (instantMs(`d1 ${found[4]}`) as number) + midnight;
    const to = clock > from ? clock : clock + DAY_MS;
    const test = Number(found[1] ?? 1);
    this.slots.push({ test, kind, start: START + from / 1000, end: START + to / 1000 });
  }

  private state(line: Line, text: string): void {
    const bytes = /^journal (\d+) bytes$/.exec(text);
    if (text === 'no settings') this.isCommissioned = false;
    else if (text === 'clock unset') this.rest.isClockSet = false;
    else if (text === 'log book away') this.rest.isLogBookThere = false;
    else if (bytes) this.rest.journalBytes = Number(bytes[1]);
    else
      fail(
        this.file,
        line,
        'given are settings, luminaire, plan, "no settings", "clock unset", "log book away" or "journal N bytes"',
      );
  }

  given(): Given {
    const luminaires = this.own.length > 0 ? this.own : LUMINAIRES;
    const settings = { ...this.settings, lamps: lampsText(luminaires) };
    const hasPlan = this.slots.length > 0 || this.until !== undefined;
    const until = this.until ?? START + 300 * 86_400;
    return {
      settings: this.isCommissioned ? settings : undefined,
      luminaires,
      plan: hasPlan ? { v: 1, revision: 1, until, slots: slotsText(this.slots) } : undefined,
      ...this.rest,
    };
  }
}

/** @throws ScenarioError with file and line */
export function readGiven(script: Script): Given {
  const reader = new Reader(script.file);
  for (const line of script.givens) reader.read(line);
  return reader.given();
}
