// The emitted firmware, minified as it is flashed, plays a whole brief and a whole full test on other engines
// and must match the simulator's controller byte for byte and edge for edge.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { buildFirmware } from '../../firmware/build/build';
import { runDuktape } from '../support/duktape';
import { createSandbox, type Sandbox } from '../support/sandbox';
import { SpiBus, SpiConverter } from '../support/spiConverter';
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
  return played(createSandbox(), bundle, everyTurn);
}

function played(
  sandbox: Sandbox,
  bundle: string,
  everyTurn: boolean,
  change = (_sandbox: Sandbox) => {},
): string[] {
  for (const name of ['interpreter.js', 'bench.js', 'player.js']) sandbox.runFile(shim(name));
  sandbox.run(setUp());
  change(sandbox);
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

it('matches the simulator in the stripped language', () => {
  expect(onSandbox(false)).toEqual(scenario.trace.told);
});

it('matches it when the loop comes round every 250 ms instead of only when something is due', () => {
  expect(onSandbox(true)).toEqual(scenario.trace.told);
});

/** The bench with two SPI converters, which give the same lamp currents as the multiplexer. */
function withSpiConverters(sandbox: Sandbox, bus: SpiBus): void {
  const config = JSON.parse(scenario.config);
  config.adc = { driver: 'spi12', sck: 'k', miso: 'i', mosi: 'o', cs: ['x', 'y'] };
  sandbox.run(`
    require('Storage').write('np.cfg', ${JSON.stringify(JSON.stringify(config))});
    var plainWrite = digitalWrite;
    digitalWrite = function (pin, level) { busWrite('' + pin, level); plainWrite(pin, level); };
    bench.analog = function () { throw new Error('The board has a converter of its own'); };
    var SPI = { find: function () { return { setup: function () {}, send: busSend }; } };`);
  expect(bus.count).toBe(0);
}

it('matches it with the driver of another converter', async () => {
  const built = await buildFirmware({ outDir: join(folder, 'spi12'), drivers: { adc: 'spi12' } });
  expect(readFileSync(built.bundle, 'utf8')).not.toMatch(/analogRead\((?!charge)/);
  let lamps: number[] = [];
  const at = (first: number) => new SpiConverter((channel) => 0.5 + (lamps[first + channel] ?? 0) / 4096);
  const bus = new SpiBus({ x: at(0), y: at(8) });
  const sandbox = createSandbox({
    busWrite: (line: string, level: number) => bus.write(line, level),
    busSend: (byte: number) => bus.send(byte),
  });
  const told = played(sandbox, built.minified, false, () => {
    lamps = sandbox.run('player.lamps') as number[];
    withSpiConverters(sandbox, bus);
  });
  expect(told).toEqual(scenario.trace.told);
  expect(bus.count).toBeGreaterThan(10_000);
}, 300000);

it('matches it on duktape', async () => {
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
