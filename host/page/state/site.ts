// The site file on the page: asked for, changed, and watched until the host works with it.
import { useEffect, useState } from 'preact/hooks';
import type { Change, SiteFileData, SiteFileView, SiteOutcome } from '../../api/site';
import { t } from '../tongues/tongue';
import { useAsked, usePage, useStore } from './hooks';
import { askSite, changeSite } from './host';
import { keptAfterSave, keptFor, keptWith } from './siteDraft';

export interface SiteAsked {
  view: SiteFileView | null;
  problem: string;
  /** The data of the file, or with the changes that are kept. */
  data: SiteFileData | null;
  again(): void;
}

/** Time between two questions whether the host works with what was saved, ms. */
const WATCH_MS = 1000;

/** The site file; asked for anew while the host is taking a change over. */
export function useSite(): SiteAsked {
  const store = useStore();
  const { siteDraft, siteSaid } = usePage();
  const [round, setRound] = useState(0);
  const again = () => setRound((n) => n + 1);
  const { value, problem } = useAsked(askSite, 'site', round);
  const isWaiting = siteSaid?.isWaiting === true;
  const isTaken = value?.inForce === true && problem === '';
  useEffect(() => {
    if (!isWaiting) return undefined;
    if (isTaken) {
      store.change((s) => ({ ...s, siteSaid: { answer: t.site.taken, isWaiting: false } }));
      return undefined;
    }
    const timer = setInterval(again, WATCH_MS);
    return () => clearInterval(timer);
  }, [isWaiting, isTaken]);
  const isDrafted = siteDraft !== null && siteDraft.revision === value?.revision;
  return { view: value, problem, data: isDrafted ? siteDraft.data : (value?.data ?? null), again };
}

export interface SiteSaving {
  /** Saves changes together with those that are kept for this file. */
  save(changes: Change[], who: string): Promise<SiteOutcome>;
  /** Keeps changes until others make them whole. */
  keep(changes: Change[], data: SiteFileData): void;
  /** Saves all that is kept, also for an earlier file; what is not whole yet is kept for this one. */
  saveKept(who: string): Promise<SiteOutcome>;
}

export function useSaving(revision: string): SiteSaving {
  const store = useStore();
  const send = async (changes: Change[], who: string, isAll: boolean): Promise<SiteOutcome> => {
    const outcome = await changeSite({ revision, who, changes });
    store.change((s) => ({
      ...s,
      orderedBy: who,
      ...(outcome.ok && {
        siteDraft: isAll ? null : keptAfterSave(s.siteDraft, revision),
        siteSaid: { answer: outcome.answer, isWaiting: outcome.taken },
      }),
    }));
    return outcome;
  };
  return {
    save: (changes, who) => send([...keptFor(store.state.siteDraft, revision), ...changes], who, false),
    keep: (changes, data) =>
      store.change((s) => ({ ...s, siteDraft: keptWith(s.siteDraft, { revision, changes, data }) })),
    async saveKept(who) {
      const changes = store.state.siteDraft?.changes ?? [];
      const outcome = await send(changes, who, true);
      if (!outcome.ok && outcome.data) {
        const { data } = outcome;
        store.change((s) => ({ ...s, siteDraft: { revision, changes, data } }));
      }
      return outcome;
    },
  };
}
