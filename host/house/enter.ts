// Takes what people enter on the page: checks it against the state of the house, writes it into the log book,
// applies it to the state, and answers.
import type { InspectionOutcome } from '../api/duties';
import type { OrderOutcome, RepairPart, WithdrawalRequest } from '../api/views';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import { profileFor } from '../profiles/profile';
import type { Circuit, Site } from '../site/model';
import { enterInspection } from './enterInspection';
import type { House } from './house';
import { decideAttended, windowWords } from './notes/attended';
import { decideAcceptance, expectedOf, rowWords } from './notes/baseline';
import { type CareFields, careWords, decideCare } from './notes/care';
import type { InspectionWish } from './notes/inspected';
import { entryOf, type NewNote, writeNote } from './notes/notes';
import { partWords, type RepairFields, repairWords, retestAfter } from './notes/repairs';
import { decideWithdrawal, withdrawalWords, writeWithdrawal } from './notes/withdrawn';

/** Every circuit named must be one of the site. No function rejects: a failure is an answer too. */
export interface Entering {
  /** The same, for somebody who has signed in with this account. */
  by(account: string | undefined): Entering;
  /** Enters a window from `now` on; with 0 hours, cancels the present one. */
  attend(circuit: string, hours: number, who: string, now: number): Promise<OrderOutcome>;
  /**
   * Accepts what the newest complete test measured on a luminaire.
   * @param luminaire '' for all of the circuit that are judged by expected currents; the others stay as they are
   */
  accept(circuit: string, luminaire: string, who: string, now: number): Promise<OrderOutcome>;
  /** Enters that a luminaire was repaired; from then on its test is owed. */
  repaired(circuit: string, repair: RepairEntry): Promise<OrderOutcome>;
  /** Enters who sees to a defect of a luminaire or of the circuit, by when, and what protects people until then. */
  care(circuit: string, care: CareEntry): Promise<OrderOutcome>;
  /** Enters what a person has looked at, once, however often it is sent. */
  inspected(wish: InspectionWish, now: number): Promise<InspectionOutcome>;
  /** Enters that an entry of the log book no longer counts. */
  withdraw(wish: WithdrawalRequest, now: number): Promise<OrderOutcome>;
}

export interface CareEntry extends CareFields {
  who: string;
  /** UTC second. */
  now: number;
}

export interface RepairEntry {
  luminaire: string;
  part: RepairPart;
  who: string;
  /** UTC second. */
  at: number;
}

export interface EnteringOptions {
  site: Site;
  house: Pick<House, 'past' | 'desired' | 'view'>;
  logbook: Pick<Logbook, 'after' | 'appendNext' | 'lastOf'>;
  keys: KeyRing;
  /** Applies a new log book entry to the house; it never rejects. */
  apply(entry: Entry): Promise<void>;
}

const refused = (sentences: string[]): OrderOutcome => ({ ok: false, answer: sentences.join(' ') });

class NoteEntering implements Entering {
  constructor(
    private readonly o: EnteringOptions,
    private readonly signed: { account?: string } = {},
  ) {}

  by(account: string | undefined): Entering {
    return account === undefined ? this : new NoteEntering(this.o, { account });
  }

  async attend(circuit: string, hours: number, who: string, now: number): Promise<OrderOutcome> {
    const { site, house } = this.o;
    const window = hours === 0 ? { from: 0, to: 0 } : { from: now, to: now + hours * 3600 };
    const decision = decideAttended({
      ...{ site, circuit, who, now, ...window },
      present: house.past.notes.of(circuit).attended,
      plan: house.desired.plan()?.plan,
    });
    if ('refusals' in decision) return refused(decision.refusals);
    const what =
      hours === 0
        ? 'Work ended'
        : `Tests can be started on demand from ${windowWords(window, site.timeZone)}`;
    return this.write(decision.note, 'entered', `${what}; the controller is updated within a minute or two.`);
  }

  async accept(circuitId: string, luminaire: string, who: string, now: number): Promise<OrderOutcome> {
    const { site, house } = this.o;
    const about = {
      circuit: this.circuit(circuitId),
      inForce: house.past.notes.of(circuitId).inForce,
      complete: house.past.history.of(circuitId).complete,
      floorPercent: profileFor(site).floorPercent.value,
    };
    // One that failed must not keep the others of its circuit from being judged by what was measured.
    const expected = luminaire === '' ? expectedOf(about) : { luminaires: [luminaire], refusals: [] };
    const { luminaires, refusals } = expected;
    if (luminaires.length === 0 && about.complete) {
      const none = `Every luminaire of circuit ${circuitId} is judged by measured currents already.`;
      return refused(refusals.length > 0 ? refusals : [none]);
    }
    const decision = decideAcceptance({
      ...about,
      ...{ address: `${site.id}/${circuitId}`, who, at: now, luminaires },
    });
    if ('refusals' in decision) return refused(decision.refusals);
    const rows = decision.note.fields.lamps.map(rowWords).join('; ');
    const left = refusals.length > 0 ? ` Not accepted: ${refusals.join(' ')}` : '';
    const answer = `Now in use: ${rows}. The controller is updated within a minute or two.${left}`;
    return this.write(decision.note, 'accepted', answer);
  }

  async repaired(circuitId: string, { luminaire, part, who, at }: RepairEntry): Promise<OrderOutcome> {
    const { site, house } = this.o;
    const circuit = this.circuit(circuitId);
    if (!circuit.luminaires.some((lamp) => lamp.id === luminaire))
      return refused([`Circuit ${circuitId} has no luminaire ${luminaire}.`]);
    const { failedLong } = house.past.history.of(circuitId);
    const retest = retestAfter(circuit, failedLong, [luminaire], part);
    const fields: RepairFields = { luminaires: luminaire, what: partWords(part), part, retest };
    const note: NewNote = { address: `${site.id}/${circuitId}`, kind: 'repaired', at, who, fields };
    const answer = `Recorded: ${repairWords(fields, at, site.timeZone)} The test will be added to the plan.`;
    return this.write(note, 'entered', answer);
  }

  async care(circuit: string, care: CareEntry): Promise<OrderOutcome> {
    const { site, house } = this.o;
    const { open } = house.view.defects(care.now, { skip: 0, limit: 0 });
    const present = open.find((one) => one.circuit === circuit && one.luminaire === care.luminaire);
    const before = present?.care ?? null;
    const decision = decideCare({ ...care, site, circuit, hasDefect: present !== undefined, before });
    if ('refusals' in decision) return refused(decision.refusals);
    const { note } = decision;
    return this.write(note, 'entered', `Recorded: ${note.who} ${careWords(note.fields)}`);
  }

  inspected(wish: InspectionWish, now: number): Promise<InspectionOutcome> {
    return enterInspection({ ...this.o, signed: this.signed }, wish, now);
  }

  async withdraw({ entry: number, who, why }: WithdrawalRequest, now: number): Promise<OrderOutcome> {
    const { site, keys, house, logbook } = this.o;
    let entry: Entry | undefined;
    try {
      entry = await entryOf(logbook, number);
    } catch (error) {
      return refused([`Nothing was withdrawn. ${(error as Error).message}`]);
    }
    const before = house.past.withdrawals.of(number);
    const decision = decideWithdrawal({ site, keys, number, entry, before, who, why, now });
    if ('refusals' in decision) return refused(decision.refusals);
    const { note } = decision;
    const answer = `Recorded: ${note.who} ${withdrawalWords(note.fields)}`;
    return this.entered(writeWithdrawal(logbook, keys, { ...note, ...this.signed }), 'withdrawn', answer);
  }

  private write(note: NewNote, done: string, answer: string): Promise<OrderOutcome> {
    return this.entered(writeNote(this.o.logbook, this.o.keys, { ...note, ...this.signed }), done, answer);
  }

  private async entered(writing: Promise<Entry>, done: string, answer: string): Promise<OrderOutcome> {
    let entry: Entry;
    try {
      entry = await writing;
    } catch (error) {
      return refused([`Nothing was ${done}. ${(error as Error).message}`]);
    }
    await this.o.apply(entry);
    return { ok: true, answer };
  }

  private circuit(id: string): Circuit {
    return this.o.site.circuits.find((circuit) => circuit.id === id)!;
  }
}

/** See `Entering`. */
export function createEntering(options: EnteringOptions): Entering {
  return new NoteEntering(options);
}
