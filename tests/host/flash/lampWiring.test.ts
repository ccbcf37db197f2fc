// What a controller is told about its lamps, and which board does not go with which circuit.
import { describe, expect, it } from 'vitest';
import type { Board } from '../../../firmware/board/board';
import { loadBoard } from '../../../firmware/build/boards';
import { lampWiring, moduleSettings } from '../../../host/flash/lampWiring';
import { parseSite } from '../../../host/site/load';
import type { Circuit } from '../../../host/site/model';
import { SMALL } from '../site/small';

const plain = await loadBoard('esp32');
const bus = {
  ...plain,
  name: 'withBus',
  adc: { driver: 'modbus', port: 'Serial2', baud: 19200, parity: 'even', code: 4, rows: [] } as Board['adc'],
};
const BOARDS = [plain, bus];

function circuitOf(text: string): Circuit {
  const result = parseSite(text, 'mill.yaml');
  if ('mistakes' in result) throw new Error(result.mistakes.map((one) => one.message).join('\n'));
  return result.site.circuits[0];
}

const ANALOGUE = circuitOf(SMALL);
const onBus = (settings = '') =>
  circuitOf(
    SMALL.replace('    luminaires:', `${settings}    register: 3\n    luminaires:`)
      .replace('mainsMilliamps: 120', 'mainsMilliamps: 120, module: 21, milliampsPerCount: 0.30517578125')
      .replace(
        'batteryMilliamps: 150',
        'batteryMilliamps: 150, module: 7, register: 0, milliampsPerCount: 2',
      ),
  );

describe('a circuit on a bus', () => {
  it('gives its controller a row of three numbers for each luminaire, in their order', () => {
    expect(lampWiring(bus, onBus(), BOARDS)).toEqual({
      ...bus.adc,
      rows: [21, 3, 0.3051758, 7, 0, 2],
    });
  });

  it('has the speed, parity and registers of the board, or its own', () => {
    const settings = '    bus: { bitsPerSecond: 9600, parity: none, registers: holding }\n';
    const wiring = lampWiring(bus, onBus(settings), BOARDS);
    expect(wiring).toMatchObject({ port: 'Serial2', baud: 9600, parity: 'none', code: 3 });
    expect(moduleSettings(wiring)).toBe(
      'Set in every current module: 9,600 bit/s, parity none, 2 stop bits. Their addresses: 7, 21. The currents are ' +
        'read from holding registers.',
    );
    expect(moduleSettings(lampWiring(bus, onBus(), BOARDS))).toContain(
      '19,200 bit/s, parity even, 1 stop bit.',
    );
  });

  it('is refused on a board without one, and a board is named that fits', () => {
    expect(() => lampWiring(plain, onBus(), BOARDS)).toThrow(
      'Circuit "one" has current modules on a bus in the site file (luminaire A-1: module 21), but board "esp32" has ' +
        'no bus; choose one of: withBus.',
    );
  });
});

describe('a circuit without modules', () => {
  it('is read by the converter of its board, as the board says', () => {
    const wiring = lampWiring(plain, ANALOGUE, BOARDS);
    expect(wiring).toBe(plain.adc);
    expect(moduleSettings(wiring)).toBeUndefined();
  });

  it('is refused on a board with a bus', () => {
    expect(() => lampWiring(bus, ANALOGUE, BOARDS)).toThrow(
      'Board "withBus" reads current modules on a bus, but the luminaires of circuit "one" have no module in the site ' +
        'file; add module, register and milliampsPerCount to them, or choose one of: esp32.',
    );
  });
});
