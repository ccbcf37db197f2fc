import { describe, expect, it } from 'vitest';
import type { DefectView } from '../../../../host/api/defects';
import { countDefects } from '../../../../host/house/view/defects';
import {
  ageWords,
  defectState,
  defectsTally,
  defectsTitle,
  dueWords,
  repairWords,
  retestNews,
} from '../../../../host/page/words/defects';
import { controller } from '../samples';

const ZONE = 'Europe/Berlin';
/** Tue 6 Jan 2026, 02:14 in Berlin. */
const SINCE = 1_767_662_040;

function defect(more: Partial<DefectView> = {}): DefectView {
  return {
    ...{ circuit: 'a', luminaire: 'A-01', place: 'Hall', state: 'open', cause: 'The lamp went out.' },
    ...{ evidence: '', since: SINCE, days: 12, entry: 4, fails: 1, reopened: 0, care: null, overdueDays: 0 },
    ...{
      repairs: [],
      needs: 'full',
      retestAt: 0,
      retestNow: null,
      next: 'Repair it.',
      attempt: null,
      proven: null,
    },
    ...{ closed: null, ...more },
  };
}

const care = { owner: 'Anna', due: '2026-01-18', interim: '', words: '', who: 'Otto', at: SINCE };
const all = (...open: DefectView[]) => countDefects(open);

describe('the list of defects', () => {
  it('is counted, with what is urgent, waits or has nobody', () => {
    expect([defectsTitle(all()), defectsTally(all())]).toEqual(['No open defect', '']);
    const one = all(defect({ care }));
    expect([defectsTitle(one), defectsTally(one)]).toEqual(['1 open defect', '']);
    const three = all(defect({ care, overdueDays: 2 }), defect({ state: 'repaired' }), defect());
    expect(defectsTitle(three)).toBe('3 open defects');
    const circuit = defect({ luminaire: '', state: 'not proven' });
    expect(defectsTitle(all(circuit))).toBe('No open defect, 1 circuit not proven');
    expect(defectsTitle(all(defect(), circuit, circuit))).toBe('1 open defect, 2 circuits not proven');
    expect(defectsTally(three)).toBe('1 overdue, 1 repaired and to be tested again, 2 without an owner.');
  });
});

describe('a defect', () => {
  it('has one word for its state, and never looks well before it is closed', () => {
    expect(defectState(defect())).toEqual({ word: 'Open', tone: 'fault' });
    expect(defectState(defect({ state: 'not proven' }))).toEqual({ word: 'Not proven', tone: 'fault' });
    expect(defectState(defect({ state: 'repaired' }))).toEqual({ word: 'Retest due', tone: 'busy' });
    expect(defectState(defect({ state: 'closed' }))).toEqual({ word: 'Closed', tone: 'good' });
  });

  it('tells since when, how often it failed and came back, and what closed it', () => {
    expect(ageWords(defect(), ZONE)).toBe('Open for 12 days, since Tue 6 Jan 2026.');
    expect(ageWords(defect({ days: 1, fails: 3, reopened: 1, state: 'repaired' }), ZONE)).toBe(
      'Not closed for 1 day, since Tue 6 Jan 2026. 3 tests have failed. Came back once after it was closed.',
    );
    expect(ageWords(defect({ since: 0, days: 0 }), ZONE)).toBe('Nobody knows since when.');
    const closed = { entry: 9, at: SINCE + 86_400, kind: 'full' as const };
    expect(ageWords(defect({ state: 'closed', days: 1, closed }), ZONE)).toBe(
      'Open for 1 day, closed Wed 7 Jan 2026 by the pass in entry 9.',
    );
  });

  it('says by when, how long that has been over, and the newest repair', () => {
    expect(dueWords(defect())).toBe('no date');
    expect(dueWords(defect({ care }))).toBe('Sun 18 Jan 2026');
    expect(dueWords(defect({ care, overdueDays: 2 }))).toBe('Sun 18 Jan 2026, overdue by 2 days');
    const repairs = [
      { entry: 5, at: SINCE, who: 'Anna', what: 'battery changed' },
      { entry: 6, at: SINCE + 86_400, who: 'Otto', what: '' },
    ];
    expect(repairWords(defect(), ZONE)).toBe('');
    expect(repairWords(defect({ repairs }), ZONE)).toBe('repaired, Otto, Wed 7 Jan 2026');
    expect(repairWords(defect({ repairs: repairs.slice(0, 1) }), ZONE)).toBe(
      'battery changed, Anna, Tue 6 Jan 2026',
    );
  });
});

it('has news of a repaired luminaire when its retest is planned, and none of other circuits', () => {
  const news = (at: number, phase = 'charged') =>
    retestNews([controller('a', { phase, retests: [{ luminaire: 'A-01', at }] }), controller('b')]);
  expect(news(0)).toBe(news(0));
  expect(news(3600)).not.toBe(news(0));
  expect(news(0, 'recharging')).not.toBe(news(0));
  expect(retestNews([controller('b', { phase: 'recharging' })])).toBe('');
});
