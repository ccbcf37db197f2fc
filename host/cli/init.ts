// `init`: a first site file, from questions at a terminal or from options.
import { createInterface } from 'node:readline';
import { Limit } from '../../firmware/contract/limits';
import { MILLIAMPS_MAX } from '../site/model';
import { fieldAt } from '../site/schema';
import { type BuildingSaid, buildingOf } from '../site/table/building';
import { Ids, keyOf } from '../site/table/ids';
import type { Row } from '../site/table/rows';
import { Mistake } from './arguments';
import { complain } from './complaints';
import { makeSite, tellSite } from './import';
import { checkNew, writeNew } from './newFile';

/** Of a luminaire's id, characters that come from its circuit. */
const PREFIX_MAX = 20;

export interface InitOptions extends BuildingSaid {
  out: string;
  /** Each as NAME=LUMINAIRES. */
  circuit?: string[];
  batteryMa?: number;
  /** Names of circuits, or none. */
  shared?: string[];
}

/** Puts a question and gives the answer. @throws Error where there will be no answer any more. */
export type Ask = (question: string) => Promise<string>;

interface Circuit {
  name: string;
  luminaires: number;
  /** The relay also switches off normal lighting; undefined where nobody says it. */
  shared?: boolean;
}

function wholeIn(what: string, text: string, most: number): number {
  const number = Number(text);
  if (/^\d+$/.test(text.trim()) && number >= 1 && number <= most) return number;
  throw new Mistake(`${what} must be a whole number from 1 to ${most}, but is "${text}".`);
}

/** The name of another circuit. @throws Mistake if it is none, or one of those there are. */
function newName(text: string, circuits: Circuit[]): string {
  const issue = fieldAt(['circuits', 0, 'name'])!.safeParse(text).error?.issues[0];
  if (issue) throw new Mistake('The name of a circuit must be 1 to 80 characters.');
  const same = circuits.find(({ name }) => keyOf(name) === keyOf(text));
  if (same) throw new Mistake(`There is a circuit "${same.name}" already; write another name.`);
  return text;
}

/** The circuits as options say them. @throws Mistake */
function circuitsSaid({ circuit, shared }: InitOptions): Circuit[] | undefined {
  const circuits: Circuit[] = [];
  for (const text of circuit ?? []) {
    const said = circuitSaid(text);
    circuits.push({ ...said, name: newName(said.name, circuits) });
  }
  if (shared && !circuit) throw new Mistake('--shared names circuits of --circuit; give both.');
  const names = (shared ?? []).filter((name) => name !== 'none').map(keyOf);
  const unknown = shared?.find(
    (name) => name !== 'none' && !circuits.some((one) => keyOf(one.name) === keyOf(name)),
  );
  if (unknown !== undefined) throw new Mistake(`--shared names "${unknown}", which no --circuit does.`);
  if (shared) for (const one of circuits) one.shared = names.includes(keyOf(one.name));
  return circuit && circuits;
}

function yesOrNo(text: string): boolean {
  if (/^(y|yes)$/i.test(text)) return true;
  if (/^(n|no)$/i.test(text)) return false;
  throw new Mistake('Write yes or no: with yes, the relay opens only while nobody is there.');
}

const askShared = (ask: Ask, name: string) =>
  answer(ask, `Does the relay of ${name} also switch off normal lighting (yes or no)?`, yesOrNo);

function circuitSaid(text: string): Circuit {
  const [, name, luminaires] = /^(.*\S)\s*=\s*(\d+)$/.exec(text.trim()) ?? [];
  if (name === undefined)
    throw new Mistake(
      `--circuit must be a name and its number of luminaires such as "Ground A=12", but is "${text}".`,
    );
  return { name, luminaires: wholeIn('The number of luminaires', luminaires, Limit.Luminaires) };
}

/** Asks until the answer is one that `take` accepts. */
async function answer<T>(ask: Ask, question: string, take: (text: string) => T): Promise<T> {
  for (;;) {
    const text = (await ask(`${question} `)).trim();
    try {
      return take(text);
    } catch (error) {
      process.stdout.write(`${(error as Error).message}\n`);
    }
  }
}

/** The questions about the building; an empty answer takes the default. */
const QUESTIONS: [keyof BuildingSaid, string][] = [
  ['name', 'Name of the building?'],
  ['timeZone', "Time zone, e.g. Europe/London (empty: this computer's)?"],
  ['profile', 'Rule profile, as `nightproof profiles` lists them (empty: en50172)?'],
  ['responsible', 'Person responsible for the emergency lighting (empty: not named yet)?'],
  ['opening', 'When are people there, e.g. mon-fri 08:00-18:00 (empty: mon-sun 07:00-22:00)?'],
];

async function askBuilding(o: InitOptions, ask: Ask): Promise<BuildingSaid> {
  const said: BuildingSaid = { ...o };
  for (const [field, question] of QUESTIONS) {
    if (said[field] !== undefined) continue;
    said[field] = await answer(ask, question, (text) => {
      if (text === '' && field === 'name') throw new Mistake('Write a name.');
      const value = text === '' ? undefined : text;
      buildingOf({ ...said, [field]: value }, 'x');
      return value;
    });
  }
  return said;
}

async function askCircuits(ask: Ask): Promise<Circuit[]> {
  const circuits: Circuit[] = [];
  for (;;) {
    const end = circuits.length > 0 ? ' (empty: no more)' : '';
    const name = await answer(ask, `Name of circuit ${circuits.length + 1}${end}?`, (text) => {
      if (text === '' && circuits.length === 0) throw new Mistake('Write a name, as it stands on the board.');
      return text === '' ? text : newName(text, circuits);
    });
    if (name === '') return circuits;
    const luminaires = await answer(
      ask,
      `How many luminaires has ${name} (1 to ${Limit.Luminaires})?`,
      (text) => wholeIn('The number of luminaires', text, Limit.Luminaires),
    );
    circuits.push({ name, luminaires, shared: await askShared(ask, name) });
  }
}

/** One luminaire a row, with an id made of its circuit. */
function rowsOf(circuits: Circuit[]): Row[] {
  const ids = new Ids(PREFIX_MAX);
  const rows = circuits.flatMap(({ name, luminaires, shared }) =>
    Array.from({ length: luminaires }, (_, i) => ({
      id: `${ids.of(name).toUpperCase()}-${String(i + 1).padStart(2, '0')}`,
      circuit: name,
      ...(shared !== undefined && { shared: shared ? 'yes' : 'no' }),
    })),
  );
  return rows.map((cells, i) => ({ line: i + 1, cells }));
}

/** A reader of lines from the terminal that loses none, however fast they come. */
function terminal(): { ask: Ask; close(): void } {
  const lines = createInterface({ input: process.stdin, output: process.stdout });
  const each = lines[Symbol.asyncIterator]();
  const ask: Ask = async (question) => {
    lines.setPrompt(question);
    lines.prompt();
    const { value, done } = await each.next();
    if (done) throw new Mistake('\nNothing was written.');
    return value;
  };
  return { ask, close: () => lines.close() };
}

function expectAll(o: InitOptions): void {
  const missing = [
    ...(o.name === undefined ? ['--name'] : []),
    ...(o.circuit === undefined ? ['--circuit'] : []),
    ...(o.batteryMa === undefined ? ['--battery-ma'] : []),
  ];
  if (missing.length > 0)
    throw new Mistake(`Without a terminal nothing is asked; give ${missing.join(' and ')}.`);
}

/**
 * Writes a first site file. `ask` puts the questions about what no option says; without it none is put.
 * @returns the exit code. @throws Error with one sentence for what is missing or wrong.
 */
export async function makeFirst(o: InitOptions, ask?: Ask): Promise<number> {
  checkNew('--out', o.out);
  if (!ask) expectAll(o);
  // A wrong option is told at once: no answer could put it right.
  buildingOf({ ...o, name: o.name ?? 'x' }, 'x');
  const named = circuitsSaid(o);
  const said = ask ? await askBuilding(o, ask) : o;
  if (ask && named) for (const one of named) one.shared ??= await askShared(ask, one.name);
  const circuits = named ?? (await askCircuits(ask!));
  const batteryMa =
    o.batteryMa ??
    (await answer(ask!, 'Lamp current on battery in mA, as expected of most luminaires?', (text) =>
      wholeIn('The lamp current', text, MILLIAMPS_MAX),
    ));
  const building = buildingOf(said, said.name!);
  const rows = rowsOf(circuits);
  const origin = 'Made by nightproof init';
  // One value for all is measured at none.
  const made = makeSite(rows, { building, table: o.out, origin, expected: { batteryMa } });
  if ('mistakes' in made) return complain(made.mistakes, o.out);
  writeNew('--out', o.out, made.text);
  tellSite(made, o.out);
  process.stdout.write(
    'Before that, write place, area, mode and current of each luminaire into the file; remove "currents: expected" where its own current was measured.\n',
  );
  return 0;
}

/** Asks where there is a terminal. @returns the exit code. @throws Error with one sentence. */
export async function initCommand(o: InitOptions): Promise<number> {
  if (!process.stdin.isTTY) return makeFirst(o);
  const { ask, close } = terminal();
  try {
    return await makeFirst(o, ask);
  } finally {
    close();
  }
}
