// What a schema cannot see: references between parts of the site file, and rules that span fields.
import { modeOf, ON_MAINS, OnMains } from '../../firmware/contract/lamps';
import { Limit, limitedSec } from '../../firmware/contract/limits';
import { type DayBounds, moreBounds } from '../profiles/more';
import { agreeableDays, needsSchedule, profileNames, profileOf } from '../profiles/profile';
import { lengthAtLeast } from '../words/length';
import { checkBus } from './busChecks';
import { checkFloorPlans, type PictureCheck } from './floorPlanChecks';
import { nearest } from './nearest';
import type { Note, Path } from './note';
import { checkKnown, checkUnique } from './references';
import { DEFAULT_PROFILE } from './resolve';
import type { SiteFile } from './schema';
import { NOON_WORDS, SLOT_MARGIN_SEC, slotNeedSec, spansNoon, windowSec } from './windows';

type FileCircuit = SiteFile['circuits'][number];

/** What is looked at only for whoever writes the file; a host must start all the same. */
export interface WritersChecks {
  /** YYYY-MM-DD. */
  today?: string;
  picture?: PictureCheck;
}

/** Notes every mistake in a file that has the right shape. */
export function crossCheck(file: SiteFile, note: Note, { today, picture }: WritersChecks = {}): void {
  checkDuplicates(file, note);
  checkReferences(file, note);
  file.circuits.forEach((_, i) => {
    checkCircuit(file, i, note);
    checkBus(file.circuits[i], i, note);
  });
  checkFloorPlans(file, note, picture);
  checkProfile(file, note);
  checkAgreement(file, note);
  checkMore(file, note);
  checkWindows(file, note);
  checkFaults(file, note);
  checkByHand(file, note);
  if (today === undefined) return;
  checkLit(file, note);
  checkFitted(file, today, note);
}

/** An area that no luminaire lights cannot lose any light, so it was probably forgotten somewhere. */
function checkLit(file: SiteFile, note: Note): void {
  const lamps = file.circuits.flatMap(({ luminaires }) => luminaires);
  const lit = new Set(lamps.flatMap(({ area, serves = [] }) => [area, ...serves]));
  const known = new Set(file.areas.map(({ id }) => id));
  // A wrong name is a mistake of its own, and probably meant for the area that seems to be dark.
  if ([...lit].some((id) => !known.has(id))) return;
  file.areas.forEach(({ id }, i) => {
    if (!lit.has(id))
      note(
        ['areas', i],
        `no luminaire is in area "${id}" or lights it; name it as area or in serves of a luminaire, or remove it`,
      );
  });
}

/** No battery was fitted after today. */
function checkFitted(file: SiteFile, today: string, note: Note): void {
  const check = (date: string | undefined, path: Path) => {
    if (date !== undefined && date > today)
      note(path, `${date} is after today, ${today}; write the date on which the battery was fitted`);
  };
  file.circuits.forEach((circuit, i) => {
    check(circuit.batteryFitted, ['circuits', i, 'batteryFitted']);
    circuit.luminaires.forEach((lamp, j) => {
      check(lamp.batteryFitted, ['circuits', i, 'luminaires', j, 'batteryFitted']);
    });
  });
}

function checkDuplicates(file: SiteFile, note: Note): void {
  checkUnique(file.floors, (i) => ['floors', i], 'floor', note);
  checkUnique(file.areas, (i) => ['areas', i], 'area', note);
  checkUnique(file.circuits, (i) => ['circuits', i], 'circuit', note);
  const seen = new Set<string>();
  file.circuits.forEach(({ luminaires }, i) => {
    checkUnique(luminaires, (j) => ['circuits', i, 'luminaires', j], 'luminaire', note, seen);
  });
  checkFormer(file, note);
}

/** A former id leads to one luminaire, or its results would have two owners. */
function checkFormer(file: SiteFile, note: Note): void {
  if (!file.circuits.some(({ luminaires }) => luminaires.some(({ formerly }) => formerly))) return;
  const owners = new Map(file.circuits.flatMap((c) => c.luminaires.map(({ id }) => [id, id] as const)));
  file.circuits.forEach((circuit, i) => {
    circuit.luminaires.forEach(({ id, formerly = [] }, j) => {
      formerly.forEach((former, k) => {
        const owner = owners.get(former);
        const path = ['circuits', i, 'luminaires', j, 'formerly', k];
        if (owner !== undefined)
          note(path, `"${former}" belongs to luminaire "${owner}"; a former id leads to one luminaire only`);
        owners.set(former, owner ?? id);
      });
    });
  });
}

function checkReferences(file: SiteFile, note: Note): void {
  const floors = new Set(file.floors.map((floor) => floor.id));
  const areas = new Set(file.areas.map((area) => area.id));
  file.areas.forEach((area, i) => {
    checkKnown(area.floor, floors, 'floor', ['areas', i, 'floor'], note);
    area.adjacent?.forEach((other, j) => {
      const path = ['areas', i, 'adjacent', j];
      checkKnown(other, areas, 'area', path, note);
      if (other === area.id) note(path, 'an area is not adjacent to itself; remove it');
    });
    checkOccupied(area, i, note);
  });
  file.circuits.forEach((circuit, i) => {
    checkKnown(circuit.floor, floors, 'floor', ['circuits', i, 'floor'], note);
    circuit.luminaires.forEach((luminaire, j) => {
      checkKnown(luminaire.area, areas, 'area', ['circuits', i, 'luminaires', j, 'area'], note);
      luminaire.serves?.forEach((served, k) => {
        checkKnown(served, areas, 'area', ['circuits', i, 'luminaires', j, 'serves', k], note);
      });
    });
  });
}

/** An area that is never empty has no hours. */
function checkOccupied(area: SiteFile['areas'][number], i: number, note: Note): void {
  const why = area.sleeping ? 'people sleep' : area.alwaysOccupied ? 'people are always' : undefined;
  if (why && area.occupied)
    note(['areas', i, 'occupied'], `area "${area.id}" has hours although ${why} there; remove the hours`);
  if (area.sleeping && area.alwaysOccupied === false)
    note(
      ['areas', i, 'alwaysOccupied'],
      `people sleep in area "${area.id}", which counts as always occupied; remove this field`,
    );
}

function checkCircuit(file: SiteFile, i: number, note: Note): void {
  const circuit = file.circuits[i];
  if (circuit.luminaires.length > Limit.Luminaires) {
    note(
      ['circuits', i, 'luminaires', Limit.Luminaires],
      `circuit "${circuit.id}" has ${circuit.luminaires.length} luminaires, but a controller has ` +
        `${Limit.Luminaires} sensor inputs; move the rest to another circuit`,
    );
  }
  if (!circuit.shared && circuit.emptySec !== undefined) {
    note(['circuits', i, 'emptySec'], 'only a shared circuit waits for an empty area; remove this field');
  }
  if (circuit.shared && circuit.alwaysOccupied) {
    note(
      ['circuits', i, 'alwaysOccupied'],
      'a shared circuit is tested only while no one is there, which would be never; have the circuits ' +
        'separated, or remove the field that does not apply',
    );
  }
  circuit.luminaires.forEach((luminaire, j) => {
    const path = ['circuits', i, 'luminaires', j];
    for (const field of ['ratedMinutes', 'chemistry', 'batteryFitted'] as const) {
      if (luminaire[field] === undefined && circuit[field] === undefined) {
        note([...path, field], 'is missing; write it for the luminaire or once for its circuit');
      }
    }
    const fitted = luminaire.batteryFitted ?? circuit.batteryFitted;
    const dates = [...(luminaire.batteriesBefore ?? []), ...(fitted === undefined ? [] : [fitted])];
    const late = dates.findIndex((date, k) => k > 0 && date <= dates[k - 1]);
    if (late > 0) {
      note(
        [...path, 'batteriesBefore', late - 1],
        `must be before the date of the battery that followed it (${dates[late]}); write the dates oldest first`,
      );
    }
    const lit = ON_MAINS[modeOf(luminaire.mode)] !== OnMains.Dark;
    if (lit && luminaire.mainsMilliamps === undefined) {
      note(
        [...path, 'mainsMilliamps'],
        `is missing; a ${luminaire.mode} luminaire is lit on mains, so write its current`,
      );
    } else if (!lit && luminaire.mainsMilliamps !== undefined) {
      note(
        [...path, 'mainsMilliamps'],
        `the emergency lamp of a ${luminaire.mode} luminaire is dark on mains; remove this field`,
      );
    }
  });
}

function checkProfile(file: SiteFile, note: Note): void {
  const names = profileNames();
  if (file.profile !== undefined && !names.includes(file.profile)) {
    const near = nearest(file.profile, names);
    const hint = near ? `did you mean "${near}"?` : `write one of: ${names.join(', ')}`;
    note(['profile'], `there is no rule profile "${file.profile}"; ${hint}`);
    return;
  }
  const needed = file.profile !== undefined && needsSchedule(file.profile);
  if (needed && !file.complianceSchedule) {
    note(
      ['profile'],
      `the rule profile "${file.profile}" follows the building's compliance schedule; write complianceSchedule ` +
        'with reference, briefDays, fullDays and fullMinutes',
    );
  } else if (!needed && file.complianceSchedule) {
    note(
      ['complianceSchedule'],
      'is only for a profile that follows a compliance schedule; remove it, or write profile: new-zealand',
    );
  }
}

/** An agreement can only extend what its profile lets the authority extend. */
function checkAgreement(file: SiteFile, note: Note): void {
  const agreement = file.authorityAgreement;
  if (!agreement) return;
  const days = agreeableDays(file.profile ?? '');
  if (!days) {
    note(
      ['authorityAgreement'],
      'is only for a rule whose interval the authority may extend; remove it, or write profile: nfpa101-manual',
    );
  } else if (agreement.briefDays <= days.own || agreement.briefDays > days.most) {
    note(
      ['authorityAgreement', 'briefDays'],
      `the rule allows ${days.own} days by itself and at most ${days.most} with the authority's agreement; write ` +
        `${days.own + 1} to ${days.most}, or remove authorityAgreement`,
    );
  }
}

/** Tests on top of the rule's own come no more rarely than it asks for, and no closer together than it permits. */
function checkMore(file: SiteFile, note: Note): void {
  const { testMore, complianceSchedule: schedule, authorityAgreement } = file;
  const profile = file.profile ?? DEFAULT_PROFILE;
  // A mistake in these has been noted, and bounds are known only without it.
  if (!testMore || !profileNames().includes(profile) || (needsSchedule(profile) && !schedule)) return;
  const bounds = moreBounds(profileOf(profile, schedule, authorityAgreement));
  const check = (field: keyof typeof testMore, what: string, { least, most }: DayBounds) => {
    const days = testMore[field];
    if (days >= least && days <= most) return;
    const why =
      days > most
        ? `already asks for ${what} every ${most} days`
        : `permits none within ${least} days of another`;
    note(['testMore', field], `the rule ${why}; write ${least} to ${most}, or remove testMore`);
  };
  check('functionTestDays', 'function tests', bounds.function);
  check('durationTestDays', 'duration tests', bounds.duration);
}

function ratedMinutesOf(file: SiteFile): number[] {
  return file.circuits.flatMap((c) => c.luminaires.map((l) => l.ratedMinutes ?? c.ratedMinutes ?? 0));
}

/** The long test that is planned for a circuit, s: the limited one where people are always there. */
function longSecOf({ alwaysOccupied, luminaires, ratedMinutes = 0 }: FileCircuit): number {
  const rated = Math.max(...luminaires.map((lamp) => (lamp.ratedMinutes ?? ratedMinutes) * 60));
  return alwaysOccupied ? limitedSec(rated) : rated;
}

/** What to write instead of a longer window where the limited test would fit; '' where it would not. */
function limitedWords(tooLong: FileCircuit[], longestSec: number): string {
  const isHelp = tooLong.every(
    (circuit) => !circuit.shared && slotNeedSec(limitedSec(longSecOf(circuit))) <= longestSec,
  );
  if (!isHelp || tooLong.some((circuit) => circuit.alwaysOccupied)) return '';
  const [{ id }, ...more] = tooLong;
  const others = more.length > 0 ? ` and ${more.length} more` : '';
  return (
    '; or, where people are there day and night and the rule accepts a limited duration test (2/3), write ' +
    `alwaysOccupied: true for circuit "${id}"${others}`
  );
}

/** The longest window must hold the longest test that is planned. */
function checkWindows(file: SiteFile, note: Note): void {
  const lengths = file.testWindows.map(windowSec);
  const longest = Math.max(...lengths);
  const longestTest = Math.max(...file.circuits.map(longSecOf));
  const needed = slotNeedSec(longestTest);
  if (longest >= needed) return;
  const at = lengths.indexOf(longest);
  const noon = spansNoon(file.testWindows[at]) ? ` (${NOON_WORDS})` : '';
  const tooLong = file.circuits.filter((circuit) => slotNeedSec(longSecOf(circuit)) > longest);
  note(
    ['testWindows', at, 'to'],
    `the longest window is ${lengthAtLeast(longest)}${noon}; make it at least ${lengthAtLeast(needed)}, for the longest test ` +
      `(${lengthAtLeast(longestTest)}) and a margin of ${SLOT_MARGIN_SEC / 60} min${limitedWords(tooLong, longest)}`,
  );
}

/** Working hours must be long enough for a duration test and the walk-round after it. */
function checkByHand(file: SiteFile, note: Note): void {
  const byHand = file.simulation?.byHand;
  if (!byHand) return;
  const neededSec = Math.max(...ratedMinutesOf(file)) * 60 + byHand.walkMinutes * 60;
  const path = ['simulation', 'byHand', 'to'];
  const sec = (byHand.to - byHand.from) * 60;
  if (sec <= 0)
    note(path, 'must be later than from, because keys are turned in the daytime; write a later time');
  else if (sec < neededSec)
    note(
      path,
      `the working hours are ${lengthAtLeast(sec)}; make them at least ${lengthAtLeast(neededSec)}, for the longest duration ` +
        'test and the walk after it',
    );
}

function checkFaults(file: SiteFile, note: Note): void {
  const faults = file.simulation?.faults ?? [];
  if (faults.length === 0) return;
  const circuits = new Set(file.circuits.map((circuit) => circuit.id));
  const luminaires = new Set(file.circuits.flatMap((circuit) => circuit.luminaires.map((l) => l.id)));
  faults.forEach((fault, i) => {
    const path = ['simulation', 'faults', i];
    if ('luminaire' in fault) {
      checkKnown(fault.luminaire, luminaires, 'luminaire', [...path, 'luminaire'], note);
      return;
    }
    checkKnown(fault.circuit, circuits, 'circuit', [...path, 'circuit'], note);
    const circuit = file.circuits.find((one) => one.id === fault.circuit);
    if (fault.kind === 'person at night' && circuit && !circuit.shared) {
      note([...path, 'circuit'], `circuit "${circuit.id}" has no movement sensor; write a shared circuit`);
    }
  });
}
