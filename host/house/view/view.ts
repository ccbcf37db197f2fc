// The present state of the house, for page, notice and API: computed from the site and the state below it at
// every call. It keeps nothing but the open defects, and reads no clock.
import { Phase, Reason, StateBit, type TestKind } from '../../../firmware/contract/codes';
import type { AnyRecord, StateMessage } from '../../../firmware/contract/messages';
import { controllerOf } from '../../../firmware/contract/topics';
import type { DefectsView, DefectView } from '../../api/defects';
import { isHeard } from '../../api/phases';
import type {
  BuildingView,
  Contact,
  ControllerStatus,
  HouseStatus,
  LogEntryView,
  RiskNotice,
  TonightTest,
} from '../../api/views';
import type { Entry } from '../../logbook/logbook';
import { isOwnJournal } from '../../logbook/own';
import type { Plan } from '../../planner/plan/plan';
import { profileFor, type RuleProfile } from '../../profiles/profile';
import { readRecord } from '../../records/schema';
import type { Circuit, Site } from '../../site/model';
import { kindWord, phaseWord, TEST_KINDS, testKindWord } from '../../words/codes';
import { dayWord } from '../../words/when';
import type { Defects } from '../defects/defects';
import type { History } from '../history/history';
import { overdueSince } from '../history/overdue';
import type { Notes } from '../notes/entered';
import { isNoteAddress } from '../notes/notes';
import { noteView } from '../notes/noteView';
import { pendingRetests } from '../notes/repairs';
import { isWithdrawable, type Withdrawals, withdrawnWords } from '../notes/withdrawn';
import { type CircuitReport, isTesting, type Reported } from '../reported/reported';
import { type Place, placesOf } from '../rows/listed';
import {
  closedDefects,
  countDefects,
  type DefectSources,
  inOrder,
  openDefects,
  openDefectsOf,
} from './defects';
import { fullDueAt } from './fullDue';
import { nextTest } from './nextTest';
import { ownView } from './ownView';
import { recordView } from './recordView';
import { retestNow } from './retestNow';
import { riskNotice } from './riskNotice';
import { controllerSentence, waitingSentence } from './sentence';
import { stoppedAndOverdue } from './stopped';
import { tonight } from './tonight';
import { unprovenOf } from './unproven';

type ReportedContact = Pick<ControllerStatus, 'circuit' | 'contact' | 'heardAt'>;

/** What the view is computed from. */
export interface ViewSources {
  site: Site;
  notes: Notes;
  history: History;
  defects: Defects;
  reported: Reported;
  withdrawals: Pick<Withdrawals, 'of'>;
  /** The current plan and its revision; undefined if there is none. */
  plan(): { plan: Plan; revision: number } | undefined;
  /** Number of the last log book entry that they were told of, 0 if none. */
  entry(): number;
}

export interface ViewOptions {
  /** Length of a circuit's test of that kind, s. */
  testSec(circuit: Circuit, kind: TestKind): number;
  /** Recharge after a test of that kind, s. */
  rechargeSec(kind: TestKind): number;
  /** Days after a full test by which the next one is due. */
  fullDays: number;
  /** Interval at which controllers report when nothing happens, s. */
  heartbeatSec: number;
  /** Further delay that does not indicate trouble, s: the network's, many times over in a fast simulation. */
  slackSec?: () => number;
  /** Seconds by a clock that nobody sets: silence is measured by it. */
  upSec: () => number;
  simulated?: boolean;
}

export interface View {
  building(): BuildingView;
  /** @throws Error if the site has no such circuit */
  controller(circuit: string, now: number): ControllerStatus;
  status(now: number, speed: number): HouseStatus;
  /** What each controller last reported. */
  contacts(): ReportedContact[];
  /**
   * Defects at a UTC second, ages to the minute; at most `open` that are not closed, and of the closed ones at most `limit`
   * after the newest `skip`.
   */
  defects(now: number, page: { skip: number; limit: number; open?: number }): DefectsView;
  /** Those of one circuit that are not closed, in no order. @throws Error if the site has no such circuit */
  defectsOf(circuit: string, now: number): DefectView[];
  /** Those of one luminaire that are not closed, as in `defects`; undefined if there is no such luminaire. */
  defectsOfLuminaire(luminaire: string, now: number): DefectView[] | undefined;
  /** A log book entry, with its record if already read. */
  entry(entry: Entry, record?: AnyRecord): LogEntryView;
  /**
   * Place of a luminaire by its id or a former one: its circuit, with the lamp currents that apply, and its
   * position there.
   */
  find(luminaire: string): { circuit: Circuit; index: number } | undefined;
  /** Ids of a circuit's luminaires in sensor order. */
  luminaires(circuit: string): string[];
}

/** Missed heartbeats after which a controller is late, and silent (common practice, no source). */
const LATE_AFTER = 2.5;
const SILENT_AFTER = 10;
const MINUTE_SEC = 60;

type Senses = Pick<ControllerStatus, 'supplyBefore' | 'supplyAfter' | 'relayOpen' | 'redLamp' | 'occupied'>;

/** What a state says of the inputs. A starting controller has not read them yet, so its zeros mean nothing. */
function sensesOf(state: StateMessage | undefined): Senses {
  const isRead = state !== undefined && state.phase !== Phase.Starting;
  const sense = (bit: StateBit): boolean | null => (isRead ? (state.bits & bit) !== 0 : null);
  return {
    supplyBefore: sense(StateBit.SupplyBefore),
    supplyAfter: sense(StateBit.SupplyAfter),
    relayOpen: sense(StateBit.RelayOpen),
    redLamp: sense(StateBit.RedLamp),
    occupied: sense(StateBit.Occupied),
  };
}

/** What the open defects are made of, beside the house itself. */
interface OpenBasis {
  news: string;
  plan: Plan | undefined;
}

class HouseView implements View {
  private readonly circuits: Map<string, Circuit>;
  private readonly places: ReadonlyMap<string, Place>;
  private readonly profile: RuleProfile;
  private open: (OpenBasis & { list: readonly DefectView[] }) | undefined;

  constructor(
    private readonly from: ViewSources,
    private readonly o: ViewOptions,
  ) {
    this.circuits = new Map(from.site.circuits.map((circuit) => [circuit.id, circuit]));
    this.places = placesOf(from.site);
    this.profile = profileFor(from.site);
  }

  building(): BuildingView {
    const { id, name, timeZone, profile, responsible, floors, areas, floorPlans = [] } = this.from.site;
    const floorPercent = this.profile.floorPercent.value;
    const circuits = [...this.circuits.keys()].map((circuit) => this.from.notes.of(circuit).inForce);
    const simulated = this.o.simulated === true;
    const lengths = Object.fromEntries(this.from.site.circuits.map((one) => [one.id, this.lengths(one)]));
    return {
      ...{
        id,
        name,
        timeZone,
        profile,
        responsible,
        floorPercent,
        simulated,
        floors,
        floorPlans,
        areas,
        circuits,
        lengths,
      },
    };
  }

  controller(circuit: string, now: number): ControllerStatus {
    const report = this.from.reported.of(circuit);
    const standing = this.from.history.of(circuit);
    const notes = this.from.notes.of(circuit);
    const { attended } = notes;
    const { state, heardAt, live } = report;
    const silentSec = this.o.upSec() - report.heardUp;
    const contact = this.contact(report, silentSec);
    const testing = isTesting(state) && state !== undefined;
    const { stopped, overdueAt, isMiscounted } = stoppedAndOverdue(
      standing,
      circuit,
      this.from.plan()?.plan,
      now,
    );
    const dueAt = fullDueAt(this.circuit(circuit), standing, notes, this.profile, this.o.fullDays);
    return {
      circuit,
      contact,
      heardAt,
      recordAt: standing.recordAt,
      phase: state ? phaseWord(state.phase) : 'unknown',
      sentence: controllerSentence(state, contact, silentSec, this.dayOf(standing.recordAt)),
      waiting: waitingSentence(state),
      ...sensesOf(state),
      kind: testing ? kindWord(state.type) : '',
      since: state?.since ?? 0,
      length: testing ? this.o.testSec(this.circuit(circuit), state.type) + standing.extraSec : 0,
      charged: state?.charged ?? 0,
      overdue: state ? Math.max(0, state.overdue - (isMiscounted(state.plan) ? 1 : 0)) : 0,
      stopped,
      held: state?.phase === Phase.Held && state.reason === Reason.OrderedHold ? standing.held : null,
      troubleAt: { ...standing.troubleAt, overdue: overdueSince(overdueAt) },
      retests: this.retests(circuit, now),
      heldLong: state?.phase === Phase.Held && standing.isReminded,
      anewAt: standing.anewAt,
      attended: attended && attended.to > now ? attended : null,
      fullAt: standing.fullAt,
      fullDueAt: dueAt,
      fullOverdue: dueAt > 0 && now > dueAt,
      unproven: this.unproven(circuit, now),
      lamps: standing.lamps,
      live,
    };
  }

  status(now: number, speed: number): HouseStatus {
    const controllers = [...this.circuits.keys()].map((circuit) => this.controller(circuit, now));
    const counts = { pass: 0, fail: 0, void: 0, untested: 0 };
    for (const { lamps } of controllers) {
      for (const { verdict } of lamps) counts[verdict === 'open' ? 'untested' : verdict]++;
    }
    const tonight = this.tonight(now);
    return { now, speed, controllers, tonight, notice: this.notice(controllers, tonight, now), counts };
  }

  contacts(): ReportedContact[] {
    return [...this.circuits.keys()].map((circuit) => this.contactOf(circuit));
  }

  defectsOf(id: string, now: number): DefectView[] {
    return openDefectsOf(this.defectSources([this.contactOf(id)]), this.circuit(id), now);
  }

  defectsOfLuminaire(luminaire: string, now: number): DefectView[] | undefined {
    const place = this.places.get(luminaire);
    if (!place) return undefined;
    const { id } = this.circuit(place.circuit).luminaires[place.index];
    return this.defectsOf(place.circuit, now)
      .filter((one) => one.luminaire === id)
      .sort(inOrder)
      .map((one) => this.withRetest(one, now));
  }

  defects(now: number, page: { skip: number; limit: number; open?: number }): DefectsView {
    const { defects } = this.from;
    const from = this.defectSources(this.contacts());
    const open = this.openDefects(from, now);
    return {
      open: open.slice(0, page.open).map((one) => this.withRetest(one, now)),
      counts: countDefects(open),
      closed: closedDefects(from, now, page),
      ...{ closedTotal: defects.closed().length, forgotten: defects.forgotten() },
    };
  }

  entry(entry: Entry, record?: AnyRecord): LogEntryView {
    const circuit = controllerOf(entry.address);
    if (isNoteAddress(entry.address)) return this.note(entry, circuit);
    if (isOwnJournal(entry.journal)) return ownView(entry, circuit);
    const known = record ?? readRecord(entry.body);
    return recordView(entry, circuit, known, (revision) => this.from.notes.listed(circuit, revision));
  }

  find(luminaire: string): { circuit: Circuit; index: number } | undefined {
    const place = this.places.get(luminaire);
    return place && { index: place.index, circuit: this.from.notes.of(place.circuit).inForce };
  }

  luminaires(circuit: string): string[] {
    return this.circuits.get(circuit)?.luminaires.map((luminaire) => luminaire.id) ?? [];
  }

  private defectSources(contacts: ReportedContact[]): DefectSources {
    const { site, defects, history, notes } = this.from;
    return { site, defects, history, notes, plan: this.from.plan()?.plan, contacts };
  }

  /** Made anew after an entry, a plan, a change of contact or a minute: a large site takes long to go through. */
  private openDefects(from: DefectSources, now: number): readonly DefectView[] {
    const contacts = from.contacts?.map(({ contact }) => contact);
    const news = `${this.from.entry()} ${Math.floor(now / MINUTE_SEC)} ${contacts}`;
    if (this.open?.news !== news || this.open.plan !== from.plan)
      this.open = { news, plan: from.plan, list: openDefects(from, now) };
    return this.open.list;
  }

  private note(entry: Entry, circuit: string): LogEntryView {
    const { site, withdrawals } = this.from;
    const view = noteView(entry, circuit, site.timeZone);
    if (!isWithdrawable(entry)) return view;
    const by = withdrawals.of(entry.entry);
    return { ...view, withdrawn: by ? withdrawnWords(by, site.timeZone) : '' };
  }

  private lengths(circuit: Circuit): BuildingView['lengths'][string] {
    const of = (kind: TestKind) => ({
      testSec: this.o.testSec(circuit, kind),
      rechargeSec: this.o.rechargeSec(kind),
    });
    const { brief, full, limited, commissioning } = TEST_KINDS;
    return { brief: of(brief), full: of(full), limited: of(limited), commissioning: of(commissioning) };
  }

  private circuit(id: string): Circuit {
    return this.circuits.get(id)!;
  }

  private contactOf(circuit: string): ReportedContact {
    const report = this.from.reported.of(circuit);
    const contact = this.contact(report, this.o.upSec() - report.heardUp);
    return { circuit, contact, heardAt: report.heardAt };
  }

  private contact({ heardAt, online }: CircuitReport, silentSec: number): Contact {
    if (heardAt === 0) return 'never heard';
    const age = silentSec - (this.o.slackSec?.() ?? 0);
    if (age > SILENT_AFTER * this.o.heartbeatSec) return 'silent';
    return online && age <= LATE_AFTER * this.o.heartbeatSec ? 'reporting' : 'late';
  }

  /** '' for 0. */
  private dayOf(utcSec: number): string {
    return utcSec > 0 ? dayWord(utcSec, this.from.site.timeZone) : '';
  }

  private unproven(circuit: string, now: number): ControllerStatus['unproven'] {
    const { site, history, notes } = this.from;
    return unprovenOf({ site, history, notes, plan: this.from.plan()?.plan }, this.circuit(circuit), now);
  }

  /** A retest is the next test of the plan that is at least as long as the one owed. */
  private retests(id: string, now: number): ControllerStatus['retests'] {
    const { repairs } = this.from.notes.of(id);
    const { last, own } = this.from.history.of(id);
    const plan = this.from.plan()?.plan;
    return pendingRetests(this.circuit(id), repairs, own).map(({ luminaire, kind }) => ({
      luminaire,
      at: nextTest(plan, id, last, testKindWord(kind), now),
    }));
  }

  /** With what can be tested while the person who repaired it is still there. */
  private withRetest(defect: DefectView, now: number): DefectView {
    const { state, circuit, needs, repairs } = defect;
    if (state !== 'repaired' || needs === '') return defect;
    return {
      ...defect,
      retestNow: retestNow({
        ...{ site: this.from.site, plan: this.from.plan()?.plan, circuit: this.circuit(circuit), needs, now },
        ...{ status: this.controller(circuit, now), repairedAt: repairs[repairs.length - 1].at },
      }),
    };
  }

  private notice(controllers: ControllerStatus[], tonight: TonightTest[], now: number): RiskNotice {
    return riskNotice({
      ...{ site: this.from.site, controllers, tonight, now },
      lengthsOf: (id, word) => this.lengths(this.circuit(id))[word],
    });
  }

  private tonight(now: number): HouseStatus['tonight'] {
    const inForce = this.from.plan();
    if (!inForce) return [];
    const { revision } = inForce;
    const inputs = inForce.plan.circuits.flatMap((plan) => {
      if (!this.circuits.has(plan.circuit)) return [];
      const report = this.from.reported.of(plan.circuit);
      const { state } = report;
      const running = state && isTesting(state) && state.plan >= revision ? state.test : 0;
      const ends = this.from.history.of(plan.circuit).ends.filter((end) => end.plan >= revision);
      const contact = this.contact(report, this.o.upSec() - report.heardUp);
      return [{ plan, ends, running, isHeard: isHeard({ contact }) }];
    });
    return tonight(inputs, now);
  }
}

/** The view of one site; see `View`. */
export function createView(from: ViewSources, options: ViewOptions): View {
  return new HouseView(from, options);
}
