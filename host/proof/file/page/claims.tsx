// What is proven, against whom, and what no log book can show.
import type { ComponentChildren, JSX } from 'preact';
import { keyText } from '../../verifierKey';
import type { Checked } from '../check';
import type { Gap, ProvenJournal, Story } from '../story';
import { moment } from './words';

type Standing = 'Proven' | 'Signed' | 'Open';

function Claim({ standing, children }: { standing: Standing; children: ComponentChildren }): JSX.Element {
  return (
    <li class={`claim ${standing.toLowerCase()}`}>
      <span class="mark">{standing}</span>
      <span>{children}</span>
    </li>
  );
}

function Witnesses({ checked: { witnesses, about } }: { checked: Checked }): JSX.Element {
  if (witnesses.length === 0)
    return (
      <Claim standing="Open">
        No witness has signed. Whoever holds the secret of this log book’s host could have written all of it
        anew. Compare the root with one on paper, below.
      </Claim>
    );
  return (
    <>
      {witnesses.map(({ key, timeSec }) => (
        <Claim standing="Signed" key={keyText(key)}>
          By “{key.name}” on {moment(timeSec, about.zone)}, if this is its own key:{' '}
          <code>{keyText(key)}</code> The key stands in this file, so ask that witness itself, not who gave
          you the file. If it is, nobody can have changed these records unseen since then, not even the owner
          with every secret, unless the witness helped.
        </Claim>
      ))}
    </>
  );
}

function numbers(list: number[]): string {
  const more = list.length > 10 ? ` and ${list.length - 10} more` : '';
  return `${list.slice(0, 10).join(', ')}${more}`;
}

const GAPS_MAX = 5;

function gapWords({ from, to, after, before }: Gap, zone: string): string {
  const which = from === to ? `record ${from}` : `records ${from} to ${to}`;
  return `${which} (between ${moment(after, zone)} and ${moment(before, zone)})`;
}

function journalWords({ from, to, luminaires, gaps, unlinked }: ProvenJournal, zone: string): string {
  if (gaps.length > 0) {
    const more = gaps.length > GAPS_MAX ? ` and ${gaps.length - GAPS_MAX} more gaps` : '';
    const named = gaps.slice(0, GAPS_MAX).map((gap) => gapWords(gap, zone));
    const whose = luminaires.length > 0 ? ` They may hold tests of ${luminaires.join(', ')}.` : '';
    return `of its records ${from} to ${to}, this file lacks ${named.join(', ')}${more}.${whose} Ask for them.`;
  }
  if (unlinked.length > 0) return `record ${numbers(unlinked)} does not follow from the one before it.`;
  return from === to
    ? `record ${from} is here.`
    : `records ${from} to ${to} are all here, each tied to the one before it.`;
}

function whoseWords(address: string): string {
  const [site, controller, ...level] = address.split('/');
  if (controller === '*') return `Notes about the whole site ${site}`;
  return `${level.length > 0 ? 'Notes about' : 'Controller'} ${site}/${controller}`;
}

function Journals({ story, zone }: { story: Story; zone: string }): JSX.Element {
  return (
    <>
      {story.journals.map((journal) => (
        <Claim
          standing={journal.gaps.length + journal.unlinked.length === 0 ? 'Proven' : 'Open'}
          key={`${journal.address} ${journal.journal}`}
        >
          {whoseWords(journal.address)}, journal {journal.journal}: {journalWords(journal, zone)}
        </Claim>
      ))}
    </>
  );
}

/** The list of what holds. */
export function Claims({ checked, story }: { checked: Checked; story: Story }): JSX.Element {
  const { size, entries, host, earlier, stamps, root } = checked;
  const last = entries[entries.length - 1]?.entry ?? 0;
  return (
    <section>
      <h2>What is proven, and against whom</h2>
      <ul class="claims">
        <Claim standing="Proven">
          All {String(entries.length)} records here stand word for word, each at its place, in the log book
          with the root below, when it had {String(size)} entries.
        </Claim>
        <Claim standing="Signed">
          By the host of that log book, if this is its own key; compare it with a printed report:{' '}
          <code>{keyText(host)}</code>
        </Claim>
        <Witnesses checked={checked} />
        {earlier ? (
          <Claim standing="Proven">
            It begins with the {String(earlier.size)} entries whose root was noted earlier: nothing of them
            was changed since.
          </Claim>
        ) : null}
        <Journals story={story} zone={checked.about.zone} />
        {stamps.length > 0 ? (
          <Claim standing="Open">
            Time stamps of {stamps.map(({ url }) => url).join(', ')} are in the file. This page does not check
            them; the recipe says how.
          </Claim>
        ) : null}
        {story.unlisted.length > 0 ? (
          <Claim standing="Open">
            Whose rows the results in entries {numbers(story.unlisted)} hold, this log book does not say.
          </Claim>
        ) : null}
      </ul>
      <p class="root">
        Root of the log book: <code>{root.replace(/(.{4})/g, '$1 ').trim()}</code>
      </p>
      <h3>What this cannot show</h3>
      <ul>
        <li>That a lamp gave enough light: the records say what a controller measured.</li>
        <li>
          That controller and sensors told the truth, or what a controller never recorded or never sent.
        </li>
        <li>
          What came after entry {last}, the last in this file, of {size}.
        </li>
      </ul>
    </section>
  );
}
