// What is proven, against whom, and what no log book can show.
import type { ComponentChildren, JSX } from 'preact';
import { keyText } from '../../verifierKey';
import type { Checked } from '../check';
import type { ProvenJournal, Story } from '../story';
import { moment } from './words';

function Claim({ good, children }: { good: boolean; children: ComponentChildren }): JSX.Element {
  return (
    <li class={good ? 'claim good' : 'claim open'}>
      <span class="mark">{good ? 'Proven' : 'Open'}</span>
      <span>{children}</span>
    </li>
  );
}

function Witnesses({ checked: { witnesses, about } }: { checked: Checked }): JSX.Element {
  if (witnesses.length === 0)
    return (
      <Claim good={false}>
        No witness has signed. Whoever holds the secret of this log book’s host could have written all of it
        anew. Compare the root with one on paper, below.
      </Claim>
    );
  return (
    <>
      {witnesses.map(({ key, timeSec }) => (
        <Claim good key={keyText(key)}>
          The witness “{key.name}” signed this state of the log book on {moment(timeSec, about.zone)}. Since
          then nobody can have changed these records unseen, not even the owner with every key, unless the
          witness helped. Ask the witness itself whether its key is <code>{keyText(key)}</code>
        </Claim>
      ))}
    </>
  );
}

function numbers(list: number[]): string {
  const more = list.length > 10 ? ` and ${list.length - 10} more` : '';
  return `${list.slice(0, 10).join(', ')}${more}`;
}

function journalWords({ from, to, missing, unlinked }: ProvenJournal): string {
  if (missing.length > 0)
    return `of its records ${from} to ${to}, this file lacks ${numbers(missing)}. Ask for them.`;
  if (unlinked.length > 0) return `record ${numbers(unlinked)} does not follow from the one before it.`;
  return from === to
    ? `record ${from} is here.`
    : `records ${from} to ${to} are all here, each tied to the one before it.`;
}

function Journals({ story }: { story: Story }): JSX.Element {
  return (
    <>
      {story.journals.map((journal) => (
        <Claim
          good={journal.missing.length + journal.unlinked.length === 0}
          key={`${journal.address} ${journal.journal}`}
        >
          {journal.address.split('/').length === 3 ? 'Notes about ' : 'Controller '}
          {journal.address.split('/').slice(0, 2).join('/')}, journal {journal.journal}:{' '}
          {journalWords(journal)}
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
        <Claim good>
          All {String(entries.length)} records here stand word for word in the log book, each at its place,
          when it had {String(size)} entries. The log book’s host signed that state, with the key{' '}
          <code>{keyText(host)}</code>
        </Claim>
        <Witnesses checked={checked} />
        {earlier ? (
          <Claim good>
            It begins with the {String(earlier.size)} entries whose root was noted earlier: nothing of them
            was changed since.
          </Claim>
        ) : null}
        <Journals story={story} />
        {stamps.length > 0 ? (
          <Claim good={false}>
            Time stamps of {stamps.map(({ url }) => url).join(', ')} are in the file. This page does not check
            them; the recipe says how.
          </Claim>
        ) : null}
        {story.unlisted.length > 0 ? (
          <Claim good={false}>
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
