// A charge pump as detector, with a coupling capacitor ten times its reservoir: a pin stuck high goes on feeding the
// reservoir, so the suite must refuse it.
import type { Circuit, Part } from '../../../simulator/guards/part';

const SECTION = { section: 'detector', rating: '', duty: '' } as const;

const PARTS: Part[] = [
  { ...SECTION, id: 'U5', kind: 'comparator', pins: ['drive', 'swing', 'supply'] },
  { ...SECTION, id: 'C10', kind: 'capacitor', pins: ['swing', 'pump'], value: 10e-6, tolerance: 0.2, ppm: 0 },
  { ...SECTION, id: 'D10', kind: 'diode', pins: ['0', 'pump'] },
  { ...SECTION, id: 'D11', kind: 'diode', pins: ['pump', 'store'] },
  { ...SECTION, id: 'C11', kind: 'capacitor', pins: ['store', '0'], value: 1e-6, tolerance: 0.1, ppm: 0 },
  { ...SECTION, id: 'R10', kind: 'resistor', pins: ['store', '0'], value: 390e3, tolerance: 0.01, ppm: 100 },
  { ...SECTION, id: 'U6', kind: 'comparator', pins: ['store', 'gate', 'supply'] },
  { ...SECTION, id: 'Q1', kind: 'nfet', pins: ['low', 'gate', '0'] },
  { ...SECTION, id: 'F1', kind: 'fuse', pins: ['supply', 'high'], value: 1, tolerance: 0.3, ppm: 0 },
  { ...SECTION, id: 'K1', kind: 'coil', pins: ['high', 'low'], value: 360, tolerance: 0.1, ppm: 3930 },
  { ...SECTION, id: 'D1', kind: 'diode', pins: ['low', 'high'] },
];

const source = 'fixture';

export const chargePump: Circuit = {
  name: 'charge pump',
  parts: PARTS,
  spreads: [
    { part: 'U5', name: 'reference', low: 1.4, typical: 1.65, high: 1.9, source },
    { part: 'U6', name: 'reference', low: 1.9, typical: 2, high: 2.1, source },
    { part: 'Q1', name: 'gate', low: 0.8, typical: 1.2, high: 1.6, source },
  ],
  supplyVolts: 12,
  supplyTolerance: 0.05,
};
