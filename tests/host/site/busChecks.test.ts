// Current modules on a bus in a site file: what they become, and what is wrong with them in words.
import { describe, expect, it } from 'vitest';
import { formatMistake, parseSite } from '../../../host/site/load';
import { SMALL } from './small';

/** The small site with both luminaires on a bus. */
const ON_BUS = SMALL.replace(
  '    luminaires:',
  '    register: 0\n    milliampsPerCount: 0.1\n    luminaires:',
)
  .replace('mainsMilliamps: 120', 'mainsMilliamps: 120, module: 1')
  .replace('batteryMilliamps: 150', 'batteryMilliamps: 150, module: 2');

function mistakesOf(text: string) {
  const result = parseSite(text, 'mill.yaml');
  return 'mistakes' in result ? result.mistakes : [];
}

function circuitOf(text: string) {
  const result = parseSite(text, 'mill.yaml');
  if ('mistakes' in result) throw new Error(result.mistakes.map(formatMistake).join('\n'));
  return result.site.circuits[0];
}

describe('current modules in a site file', () => {
  it('have an address each, and register and scale of the circuit or their own', () => {
    const circuit = circuitOf(
      ON_BUS.replace('module: 2', 'module: 247, register: 65535, milliampsPerCount: 5'),
    );
    expect(circuit.luminaires.map((lamp) => lamp.module)).toEqual([
      { address: 1, register: 0, milliampsPerCount: 0.1 },
      { address: 247, register: 65535, milliampsPerCount: 5 },
    ]);
    expect(circuit.bus).toEqual({});
  });

  it('may read two luminaires each, in a register of its own', () => {
    expect(circuitOf(ON_BUS.replace('module: 2', 'module: 1, register: 1')).luminaires[1].module).toEqual({
      ...{ address: 1, register: 1, milliampsPerCount: 0.1 },
    });
  });

  it('may have a speed, parity and registers of their own', () => {
    const bus = '    bus: { bitsPerSecond: 9600, parity: none, registers: holding }\n    luminaires:';
    expect(circuitOf(ON_BUS.replace('    luminaires:', bus)).bus).toEqual({
      ...{ bitsPerSecond: 9600, parity: 'none', registers: 'holding' },
    });
  });

  it('leave nothing in a circuit that has none', () => {
    const circuit = circuitOf(SMALL);
    expect([circuit, ...circuit.luminaires].some((one) => 'bus' in one || 'module' in one)).toBe(false);
  });
});

describe('a mistake about current modules', () => {
  it.each([
    ['an address for all modules', 'module: 2', 'module: 0', 'A-2].module', 'from 1 to 247, but is 0'],
    ['a reserved address', 'module: 2', 'module: 248', 'A-2].module', 'from 1 to 247, but is 248'],
    ['half an address', 'module: 2', 'module: 2.5', 'A-2].module', 'a whole number'],
    ['no such register', 'register: 0', 'register: 65536', 'one].register', 'from 0 to 65535'],
    ['no scale', 'PerCount: 0.1', 'PerCount: 0', 'one].milliampsPerCount', 'a number above 0, up to 1000'],
    ['a scale the wrong way round', 'PerCount: 0.1', 'PerCount: -1', 'one].milliampsPerCount', 'but is -1'],
    ['a scale in words', 'PerCount: 0.1', 'PerCount: tenth', 'one].milliampsPerCount', 'but is "tenth"'],
    [
      'an address used twice',
      'module: 2',
      'module: 1',
      'A-2].module',
      'luminaire "A-1" is read at register 0 of module 1 too; give each module an address of its own',
    ],
    [
      'modules and channels in one circuit',
      ', module: 2',
      '',
      'A-2].module',
      'write the module of every luminaire, or of none',
    ],
    ['no register', '    register: 0\n', '', 'A-1].register', 'for the luminaire or once for its circuit'],
    [
      'a missing scale',
      '    milliampsPerCount: 0.1\n',
      '',
      'A-1].milliampsPerCount',
      'for the luminaire or once for its circuit',
    ],
    [
      'too coarse a scale',
      'PerCount: 0.1',
      'PerCount: 5.5',
      'A-1].milliampsPerCount',
      'too coarse for 100 mA; choose a module or register with at most 5 mA a count',
    ],
    [
      'too fine a scale',
      'PerCount: 0.1',
      'PerCount: 0.005',
      'A-1].milliampsPerCount',
      'leaves no room in a register of up to 32767',
    ],
    [
      'a speed the driver does not keep',
      '    luminaires:',
      '    bus: { bitsPerSecond: 4800 }\n    luminaires:',
      'one].bus.bitsPerSecond',
      'one of: 9600, 19200, 38400, 57600, 115200, but is 4800',
    ],
    [
      'an unknown parity',
      '    luminaires:',
      '    bus: { parity: mark }\n    luminaires:',
      'one].bus.parity',
      'must be one of: even, odd, none',
    ],
    [
      'a field of the bus misspelt',
      '    luminaires:',
      '    bus: { parrity: even }\n    luminaires:',
      'one].bus.parrity',
      'did you mean "parity"?',
    ],
  ])('is one sentence: %s', (_, search, replacement, field, words) => {
    expect(ON_BUS).toContain(search);
    const mistakes = mistakesOf(ON_BUS.replace(search, replacement));
    const found = mistakes.find((mistake) => mistake.field.endsWith(field));
    expect(found, mistakes.map(formatMistake).join('\n')).toBeDefined();
    expect(found!.message).toContain(words);
    expect(found!.message).toMatch(/^[^\n]*[.?]$/);
  });

  it.each([
    ['bus', '    luminaires:', '    bus: { parity: odd }\n    luminaires:', 'one].bus'],
    ['register', '    luminaires:', '    register: 3\n    luminaires:', 'one].register'],
    [
      'scale',
      'batteryMilliamps: 150',
      'batteryMilliamps: 150, milliampsPerCount: 1',
      'A-2].milliampsPerCount',
    ],
  ])('is a %s where there is no module', (_, search, replacement, field) => {
    const [found, ...more] = mistakesOf(SMALL.replace(search, replacement));
    expect(more).toEqual([]);
    expect(found.field.endsWith(field)).toBe(true);
    expect(found.message).toContain('or remove this field.');
  });
});
