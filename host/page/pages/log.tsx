// The log book: everything that happened, newest first, with proof that nothing was changed.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { LogbookView, LogEntryView } from '../../api/views';
import { Mark } from '../parts/mark';
import { useAsked, usePage } from '../state/hooks';
import { askLogbook } from '../state/host';
import { kindWord, LOG_KINDS, markTone, merged, withHead } from '../words/log';
import { logLink } from '../words/route';
import { dayAndTime } from '../words/time';

const PAGE_SIZE = 50;

function go(circuit: string, kind: string): void {
  location.hash = logLink(circuit, kind);
}

function Filters({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  const { building } = usePage();
  return (
    <form class="filters" aria-label="Filter" onSubmit={(e) => e.preventDefault()}>
      <label for="by-circuit">Circuit</label>
      <select id="by-circuit" value={circuit} onChange={(e) => go(e.currentTarget.value, kind)}>
        <option value="">All circuits</option>
        {building?.circuits.map((c) => (
          <option key={c.id} value={c.id}>
            {c.id} {c.name}
          </option>
        ))}
      </select>
      <label for="by-kind">Kind</label>
      <select id="by-kind" value={kind} onChange={(e) => go(circuit, e.currentTarget.value)}>
        <option value="">All kinds</option>
        {LOG_KINDS.map(([value, word]) => (
          <option key={value} value={value}>
            {word}
          </option>
        ))}
      </select>
    </form>
  );
}

function Chain({ view }: { view: LogbookView }): JSX.Element {
  const count = `${view.total} ${view.total === 1 ? 'entry' : 'entries'}`;
  if (view.chainValid)
    return (
      <p class="chain">
        <Mark tone="good" word={`Chain valid, ${count}`} />
      </p>
    );
  return (
    <p class="chain" role="alert">
      <Mark tone="fault" word={`Chain broken, ${count}.`} /> An entry was changed or is missing. Keep the file
      unchanged and run “logbook verify” to find the first broken entry.
    </p>
  );
}

function Entry({ entry, zone }: { entry: LogEntryView; zone: string }): JSX.Element {
  return (
    <li class="entry">
      <p class="entry-when">
        <time dateTime={new Date(entry.at * 1000).toISOString()}>{dayAndTime(entry.at, zone)}</time>{' '}
        <span class="quiet">
          {entry.circuit} · {kindWord(entry.kind)}
        </span>
      </p>
      <Mark tone={markTone(entry.mark)} word={entry.mark} />
      <div class="entry-text">
        <p>{entry.text}</p>
        <details>
          <summary>
            Record <span class="quiet">no. {entry.entry}</span>
          </summary>
          <pre>{entry.body}</pre>
          <p class="hash">
            Hash <code>{entry.hash}</code>
          </p>
        </details>
      </div>
    </li>
  );
}

function useEntries(circuit: string, kind: string) {
  const { entriesHeard } = usePage();
  const [shown, setShown] = useState<LogEntryView[]>([]);
  const [atEnd, setAtEnd] = useState(false);
  const [problem, setProblem] = useState('');
  const ask = (before: number) => askLogbook({ circuit, kind, before, limit: PAGE_SIZE });
  const head = useAsked(() => ask(0), logLink(circuit, kind), entriesHeard);
  useEffect(() => {
    const page = head.value;
    if (!page) return;
    setShown((old) => withHead(old, page.entries, PAGE_SIZE));
    if (page.entries.length < PAGE_SIZE) setAtEnd(true);
  }, [head.value]);
  async function older(): Promise<void> {
    try {
      const page = await ask(shown[shown.length - 1]?.entry ?? 0);
      setShown((old) => merged(old, page.entries));
      setAtEnd(page.entries.length < PAGE_SIZE);
      setProblem('');
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    }
  }
  return { shown, view: head.value, problem: problem || head.problem, atEnd, older };
}

function Entries({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  const { building } = usePage();
  const { shown, view, problem, atEnd, older } = useEntries(circuit, kind);
  const zone = building?.timeZone ?? 'UTC';
  return (
    <>
      {problem === '' ? null : <p role="alert">{problem}</p>}
      {view ? <Chain view={view} /> : <p>Loading…</p>}
      {view && shown.length === 0 ? <p>No entries of this kind.</p> : null}
      <ol class="entries">
        {shown.map((e) => (
          <Entry key={e.entry} entry={e} zone={zone} />
        ))}
      </ol>
      {shown.length > 0 && !atEnd ? (
        <button type="button" class="plain" onClick={older}>
          Show older entries
        </button>
      ) : null}
    </>
  );
}

/** Page of the log book. */
export function LogPage({ circuit, kind }: { circuit: string; kind: string }): JSX.Element {
  return (
    <>
      <h1>Log book</h1>
      <Filters circuit={circuit} kind={kind} />
      <Entries key={logLink(circuit, kind)} circuit={circuit} kind={kind} />
    </>
  );
}
