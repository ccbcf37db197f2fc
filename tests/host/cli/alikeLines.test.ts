import { expect, it } from 'vitest';
import { alikeLines } from '../../../host/cli/alikeLines';
import { DEMO_SITE } from '../../../host/cli/arguments';
import { loadSite } from '../../../host/site/load';

function circuitOf(currents: [string, number, number][]) {
  const result = loadSite(DEMO_SITE);
  if ('mistakes' in result) throw new Error('The demonstration site has mistakes.');
  const [circuit] = result.site.circuits;
  const luminaires = currents.map(([id, batteryMilliamps, mainsMilliamps]) => ({
    ...circuit.luminaires[0],
    ...{ id, batteryMilliamps, mainsMilliamps },
  }));
  return { ...circuit, id: 'hall', luminaires };
}

it('names the luminaires whose currents on mains and on battery are less than a fifth apart', () => {
  const lamps: [string, number, number][] = [
    ['A-1', 200, 0],
    ['A-2', 200, 249],
    ['A-3', 200, 250],
    ['A-4', 200, 200],
    ['A-5', 200, 161],
    ['A-6', 200, 160],
  ];
  expect(alikeLines(circuitOf(lamps))).toEqual([
    'Circuit "hall": about the same current on mains and on battery: A-2, A-4, A-5. A test cannot show that these ' +
      'leave the mains; watch them once a year as a test begins.',
  ]);
});

it('says nothing where every luminaire shows which it is on', () => {
  expect(
    alikeLines(
      circuitOf([
        ['A-1', 200, 0],
        ['A-3', 200, 250],
      ]),
    ),
  ).toEqual([]);
});
