// The emitted firmware, minified as it is flashed, plays a whole brief and a whole full test on other
// engines and must do byte for byte and edge for edge what the simulator's controller does.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { buildFirmware } from '../../firmware/build/build';
import { runDuktape } from '../support/duktape';
import { createSandbox } from '../support/sandbox';
import { playOnSimulator, type Scenario } from './scenario';

const shim = (name: string) => fileURLToPath(new URL(`./shims/${name}`, import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'nightproof-bundle-'));
let scenario: Scenario;
let bundle: string;
let given: string;

beforeAll(async () => {
  scenario = playOnSimulator();
  given = scenario.trace.given.join('\n');
  bundle = (await buildFirmware({ outDir: folder })).minified;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Script that makes the bench this scenario's board. */
function setUp(): string {
  const config = JSON.stringify(scenario.config);
  return `require('Storage').write('np.cfg', ${config});E.hwRand = function () { return ${scenario.entropy}; };`;
}

function onSandbox(everyTurn: boolean): string[] {
  const sandbox = createSandbox();
  for (const name of ['interpreter.js', 'bench.js', 'player.js']) sandbox.runFile(shim(name));
  sandbox.run(setUp());
  sandbox.runFile(bundle);
  sandbox.run(`var GIVEN = ${JSON.stringify(given)};`);
  return JSON.parse(sandbox.run(`JSON.stringify(player.play(GIVEN, ${everyTurn}))`) as string);
}

it('has a scenario with a brief and a full test, a dead lamp and an aged battery in it', () => {
  const results = scenario.records.map((text) => JSON.parse(text)).filter((r) => r.kind === 'result');
  expect(results.map((r) => r.type)).toEqual([1, 2]);
  expect(results.map((r) => r.lamps.map((lamp: number[]) => lamp[0]))).toEqual([
    [2, 1, 1, 1, 1, 1, 1, 1],
    [2, 1, 1, 1, 1, 2, 1, 1],
  ]);
  expect(Math.abs(results[1].lamps[5][2] - 2400)).toBeLessThanOrEqual(1);
});

it('does on the stripped language what the simulator does', () => {
  expect(onSandbox(false)).toEqual(scenario.trace.told);
});

it('does the same when the loop comes round every 250 ms instead of only when something is due', () => {
  expect(onSandbox(true)).toEqual(scenario.trace.told);
});

it('does on duktape what the simulator does', async () => {
  const play = join(folder, 'play.js');
  const before = join(folder, 'before.js');
  writeFileSync(before, setUp());
  writeFileSync(
    play,
    `var told = player.play(${JSON.stringify(given)}, false);for (var i = 0; i < told.length; i++) print(told[i]);`,
  );
  const files = [shim('interpreter.js'), shim('bench.js'), shim('player.js'), before, bundle, play];
  expect(await runDuktape(files)).toEqual(scenario.trace.told);
});
