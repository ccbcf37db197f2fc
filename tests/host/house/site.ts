// An invented house with two circuits, for tests of the read model.
import type { Circuit, Luminaire, Site } from '../../../host/site/model';

function luminaire(id: string, mode: Luminaire['mode']): Luminaire {
  return {
    ...{ id, mode, place: 'corridor', area: 'hall', serves: ['hall'], ratedSec: 3600, batteryMilliamps: 300 },
    ...{ mainsMilliamps: 0, chemistry: 'NiCd', batteryFitted: '2024-03-01' },
  };
}

function circuit(id: string, luminaires: Luminaire[]): Circuit {
  return {
    id,
    name: id,
    floor: 'g',
    shared: false,
    alwaysOccupied: false,
    auxiliaryContact: false,
    chargeMilliamps: 0,
    emptySec: 0,
    luminaires,
    areas: ['hall'],
    ratedSec: 3600,
  };
}

const NIGHTLY = {
  days: ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'],
  from: 22 * 60,
  to: 5 * 60,
} as const;

export const HOUSE: Site = {
  id: 'demo',
  name: 'Demonstration house',
  timeZone: 'Europe/Berlin',
  profile: 'en50172',
  responsible: 'The caretaker',
  windows: [{ ...NIGHTLY, days: [...NIGHTLY.days] }],
  opening: [],
  closedDates: [],
  noTestDates: [],
  openingsAtOnce: 2,
  staggerSec: 600,
  engineerDays: [...NIGHTLY.days],
  floors: [{ id: 'g', name: 'Ground floor' }],
  areas: [
    {
      ...{ id: 'hall', name: 'Hall', floor: 'g', adjacent: [] },
      ...{ occupied: [], always: false, sleeping: false },
    },
  ],
  circuits: [
    circuit('a', [luminaire('A-01', 'non-maintained'), luminaire('A-02', 'non-maintained')]),
    circuit('b', [luminaire('B-01', 'non-maintained')]),
  ],
  simulation: { start: '2026-01-05T09:00', historyDays: 0, faults: [], repairDays: 14 },
};
