// The log book: everything that happened, newest first, and how far its chain has been checked.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { LogbookView, LogEntryView } from '../../api/views';
import { CircuitSelect } from '../parts/circuitSelect';
import { FromHost } from '../parts/fromHost';
import { Mark } from '../parts/mark';
import { WithdrawForm } from '../parts/withdrawForm';
import { useAsked, usePage } from '../state/hooks';
import { askLogbook } from '../state/host';
import { t } from '../tongues/tongue';
import {
  chainWords,
  kindWord,
  logKinds,
  markTone,
  merged,
  NOTHING_SHOWN,
  shownWords,
  withNewest,
} from '../words/log';
import { logLink } from '../words/route';
import { dayAndTime } from '../words/time';

const PAGE_SIZE = 50;
/** Interval at which the page asks how far the chain has been checked, ms. */
const CHECK_MS = 2000;

function go(circuit: string, kind: string): void {
  location.hash = logLink(circuit, kind);
}

function Filters({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  return (
    <form class="filters" aria-label={t.log.filter} onSubmit={(e) => e.preventDefault()}>
      <CircuitSelect id="by-circuit" value={circuit} onCircuit={(chosen) => go(chosen, kind)} />
      <label for="by-kind">{t.log.kind}</label>
      <select id="by-kind" value={kind} onChange={(e) => go(circuit, e.currentTarget.value)}>
        <option value="">{t.log.allKinds}</option>
        {logKinds().map(([value, word]) => (
          <option key={value} value={value}>
            {word}
          </option>
        ))}
      </select>
    </form>
  );
}

function Chain({ view, zone }: { view: LogbookView; zone: string }): JSX.Element {
  const { tone, word, text } = chainWords(view.chain, zone);
  return (
    <p class="chain" {...(tone === 'fault' && { role: 'alert' })}>
      <Mark tone={tone} word={word} /> {text}
    </p>
  );
}

function Entry({ entry, zone }: { entry: LogEntryView; zone: string }): JSX.Element {
  return (
    <li class="entry">
      <p class="entry-when">
        <time dateTime={new Date(entry.at * 1000).toISOString()}>{dayAndTime(entry.at, zone)}</time>{' '}
        <span class="quiet">
          {entry.circuit === '' ? '' : `${entry.circuit} · `}
          {kindWord(entry.kind)}
        </span>
      </p>
      <Mark tone={markTone(entry.mark)} word={t.log.marks[entry.mark]} />
      <div class="entry-text">
        <p>
          <FromHost text={entry.text} />
        </p>
        {entry.withdrawn ? (
          <p class="mistake">
            <FromHost text={entry.withdrawn} />
          </p>
        ) : null}
        {entry.withdrawn === '' ? <WithdrawForm entry={entry.entry} /> : null}
        <details>
          <summary>
            {t.log.record} <span class="quiet">{t.log.number(entry.entry)}</span>
          </summary>
          <pre lang="en">{entry.body}</pre>
          <p class="hash">
            {t.log.hash} <code>{entry.hash}</code>
          </p>
        </details>
      </div>
    </li>
  );
}

function useEntries(circuit: string, kind: string) {
  const { entriesHeard } = usePage();
  const [shown, setShown] = useState(NOTHING_SHOWN);
  const [problem, setProblem] = useState('');
  const ask = (before: number) => askLogbook({ circuit, kind, before, limit: PAGE_SIZE });
  const [asked, setAsked] = useState(0);
  const head = useAsked(() => ask(0), logLink(circuit, kind), entriesHeard + asked);
  const unchecked = head.value ? head.value.chain.checked < head.value.chain.entries : false;
  useEffect(() => {
    const timer = unchecked ? setTimeout(() => setAsked(asked + 1), CHECK_MS) : undefined;
    return () => clearTimeout(timer);
  }, [head.value]);
  useEffect(() => {
    const page = head.value;
    if (!page) return;
    setShown((old) => withNewest(old, page, PAGE_SIZE));
  }, [head.value]);
  async function older(): Promise<void> {
    try {
      const page = await ask(shown.lookedTo);
      setShown((old) => ({ entries: merged(old.entries, page.entries), lookedTo: page.lookedTo }));
      setProblem('');
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    }
  }
  return { shown, view: head.value, problem: problem || head.problem, older };
}

function Entries({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  const { building } = usePage();
  const { shown, view, problem, older } = useEntries(circuit, kind);
  const zone = building?.timeZone ?? 'UTC';
  const { entries, lookedTo } = shown;
  const isLooked = shown !== NOTHING_SHOWN;
  return (
    <>
      {problem === '' ? null : <p role="alert">{problem}</p>}
      {view ? <Chain view={view} zone={zone} /> : <p>{t.frame.loading}</p>}
      {isLooked && view ? <p class="quiet">{shownWords(entries, { total: view.total, lookedTo })}</p> : null}
      <ol class="entries">
        {entries.map((e) => (
          <Entry key={e.entry} entry={e} zone={zone} />
        ))}
      </ol>
      {isLooked && lookedTo > 0 ? (
        <button type="button" class="plain" onClick={older}>
          {t.log.showOlder}
        </button>
      ) : null}
    </>
  );
}

/** Page of the log book. */
export function LogPage({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  return (
    <>
      <h1>{t.frame.log}</h1>
      <Filters circuit={circuit} kind={kind} />
      <Entries key={logLink(circuit, kind)} circuit={circuit} kind={kind} />
    </>
  );
}
