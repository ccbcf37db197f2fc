// How many of the interpreter's variables the firmware takes, and when. Run it by
//   ESPRUINO_BIN=/path/to/espruino node --import tsx tests/engine/measure.ts [bundle.js]
// Only a build with as many cells as a board gives meaningful figures. Docs: docs/engine.md.
import { readFileSync } from 'node:fs';
import { buildFirmware } from '../../firmware/build/build';
import { Interpreter, interpreterCommand, misnamedInterpreter } from '../support/interpreter';
import { msOf } from './lines';
import { benchTops, metered, peakOf, play, type Tops, takeTops } from './meter';
import { fullExtent, playOnSimulator, type Scenario, START_MS } from './scenario';

const HOUR_MS = 3_600_000;

interface Stage {
  name: string;
  until: number;
}

/** The scenario's time split into stages by the results in it. */
function stagesOf(scenario: Scenario, days: number): Stage[] {
  const results = scenario.records.map((text) => JSON.parse(text)).filter((r) => r.kind === 'result');
  const stages: Stage[] = [
    { name: 'settings, plan, clock received', until: HOUR_MS },
    { name: 'waiting for the first test', until: results[0].started * 1000 - START_MS - 10_000 },
  ];
  for (const r of results.slice(0, 2)) {
    const began = r.started * 1000 - START_MS;
    const ended = began + r.seconds * 1000;
    const name = r.type === 2 ? 'full test' : 'brief test';
    if (r.type === 2) stages.push({ name: 'between the tests', until: began - 10_000 });
    stages.push({ name: `${name}, running`, until: ended - 2000 });
    stages.push({ name: `${name}, its result`, until: ended + 600_000 });
  }
  return [...stages, { name: `to the end of ${days} days`, until: Number.POSITIVE_INFINITY }];
}

async function plainUse(): Promise<{ usage: number; total: number }> {
  const interpreter = new Interpreter();
  try {
    await interpreter.install({});
    return await interpreter.memory();
  } finally {
    await interpreter.close();
  }
}

/** Variables in use with the meter alone, and with the firmware loaded but nothing configured. */
async function useAtRest(scenario: Scenario, firmware: string | undefined): Promise<number> {
  const interpreter = await metered(scenario, firmware, firmware ? '' : scenario.config);
  try {
    return (await interpreter.memory()).usage;
  } finally {
    await interpreter.close();
  }
}

function row(name: string, variables: number, note = ''): void {
  console.log(`${name.padEnd(42)} ${String(variables).padStart(6)}  ${note}`);
}

async function measure(scenario: Scenario, firmware: string, days: number): Promise<void> {
  const empty = await plainUse();
  const shims = await useAtRest(scenario, undefined);
  const loaded = await useAtRest(scenario, firmware);
  const bench: Tops = await benchTops(scenario);
  row('empty interpreter and the way in', empty.usage, `of ${empty.total}`);
  row('workbench, player and meter', shims - empty.usage, 'taken off below');
  row('firmware loaded from flash', loaded - shims);
  const interpreter = await metered(scenario, firmware);
  try {
    row('constructed', (await interpreter.memory()).usage - shims);
    await interpreter.ask('meter.hook()');
    const constructed = (await interpreter.memory()).usage;
    let from = 0;
    for (const stage of stagesOf(scenario, days)) {
      const to = scenario.trace.given.findIndex((line) => msOf(line) > stage.until);
      const lines = scenario.trace.given.slice(from, to < 0 ? undefined : to);
      from = to < 0 ? scenario.trace.given.length : to;
      await play(interpreter, lines);
      const peak = peakOf(await takeTops(interpreter), bench);
      const rest = (await interpreter.memory()).usage - constructed;
      row(stage.name, peak.variables, `at most (${peak.place}); after it ${rest} above the start`);
    }
  } finally {
    await interpreter.close();
  }
}

const misnamed = misnamedInterpreter();
if (misnamed) {
  console.error(misnamed);
  process.exit(1);
}
const bundle = process.argv[2];
const days = Number(process.env.DAYS ?? 31);
const firmware = readFileSync(bundle ?? (await buildFirmware()).minified, 'latin1');
console.log(interpreterCommand, firmware.length, 'bytes');
const extent = fullExtent(days, Number(process.env.RATED ?? 900));
await measure(playOnSimulator({ ...extent, isTraced: process.env.TRACED !== undefined }), firmware, days);
