// The site: what it consists of, and a form for each part of it. The words of its fields come from the host, in
// English, so all of it is.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { FormField, Item, Part, SiteFileData, SiteFileView } from '../../api/site';
import { SiteForm } from '../parts/siteForm';
import { usePage, useStore } from '../state/hooks';
import { type SiteAsked, useSaving, useSite } from '../state/site';
import { siteLink } from '../words/route';
import {
  changeWords,
  circuitWords,
  formCaution,
  formTitle,
  keptWords,
  saidNow,
  takingWords,
} from '../words/site';
import { type FormPlace, itemOf } from '../words/siteForm';

/** Why nothing can be changed, or that the host does not work with this file yet. */
function Standing({ view }: { view: SiteFileView }): JSX.Element | null {
  if (view.fixed !== '') return <p class="note">{view.fixed}</p>;
  if (view.taking) return <p class="note">{takingWords(view.taking)}</p>;
  if (view.inForce) return null;
  return (
    <p class="note">
      {view.file} was changed since the host was started. It takes effect when the host is started again;
      until then nothing can be saved here, unless only comments were changed.
    </p>
  );
}

/** Changes that wait for others, and what was said to the last one saved. */
function Kept({ revision, look }: { revision: string; look: () => void }): JSX.Element {
  const store = useStore();
  const { siteDraft, siteSaid, orderedBy } = usePage();
  const { saveKept } = useSaving(revision);
  const [said, setSaid] = useState('');
  const isStale = siteDraft !== null && siteDraft.revision !== revision;
  const drop = () => store.change((s) => ({ ...s, siteDraft: null }));
  const again = async (): Promise<void> => {
    const outcome = await saveKept(orderedBy);
    setSaid(outcome.ok ? '' : outcome.answer);
    if (!outcome.ok && outcome.stale) look();
  };
  return (
    <>
      <p role="status" class={siteSaid ? 'note' : ''}>
        {siteSaid?.answer}
      </p>
      {siteDraft ? (
        <section class="against" aria-label="Not saved yet">
          <p>
            <strong>Not saved yet:</strong> {siteDraft.changes.map(changeWords).join('; ')}.{' '}
            {keptWords(isStale)}
          </p>
          {said === '' ? null : (
            <p class="mistake" role="alert">
              {said}
            </p>
          )}
          <div class="buttons">
            <button type="button" class="plain" onClick={again}>
              {isStale ? 'Try it on the new file' : 'Try to save it'}
            </button>
            <button type="button" class="plain" onClick={drop}>
              Give it up
            </button>
          </div>
        </section>
      ) : null}
    </>
  );
}

function Things(props: { part: Part; title: string; items: Item[]; add: string }): JSX.Element {
  const { part, title, items, add } = props;
  return (
    <section aria-label={title}>
      <h2>{title}</h2>
      <ul class="things">
        {items.map(({ id, name }) => (
          <li key={String(id)}>
            <a class="things-more" href={siteLink({ part, id: String(id) })}>
              {String(name)} ({String(id)})
            </a>
          </li>
        ))}
      </ul>
      <p>
        <a class="things-more" href={siteLink({ part, id: '' })}>
          {add}
        </a>
      </p>
    </section>
  );
}

function CircuitThings({ circuit }: { circuit: SiteFileData['circuits'][number] }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const id = String(circuit.id);
  return (
    <details onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>
        <strong>{id}</strong> {circuitWords(circuit)}
      </summary>
      {isOpen ? (
        <>
          <p>
            <a class="things-more" href={siteLink({ part: 'circuits', id })}>
              Change circuit {id}
            </a>
          </p>
          <ul class="things">
            {circuit.luminaires.map((lamp) => (
              <li key={String(lamp.id)}>
                <a class="things-more" href={siteLink({ part: 'luminaires', id: String(lamp.id) })}>
                  {String(lamp.id)} {String(lamp.place)}
                </a>
              </li>
            ))}
          </ul>
          <p>
            <a class="things-more" href={siteLink({ part: 'luminaires', id: '', circuit: id })}>
              Add a luminaire to {id}
            </a>
          </p>
        </>
      ) : null}
    </details>
  );
}

/** What the building's own fields say. */
function Building({ data, fields }: { data: SiteFileData; fields: FormField[] }): JSX.Element {
  const said = fields
    .map((field) => ({ field, now: saidNow(field, data[field.name]) }))
    .filter(({ now }) => now !== '');
  return (
    <section aria-label="Hours and rules">
      <h2>Hours and rules</h2>
      <dl class="site-facts">
        {said.map(({ field, now }) => (
          <div key={field.name}>
            <dt>{field.label}</dt>
            <dd>{now}</dd>
          </div>
        ))}
      </dl>
      <p>
        <a class="things-more" href={siteLink({ part: 'site', id: '' })}>
          Change hours and rules
        </a>
      </p>
    </section>
  );
}

function Unread({ view, problem }: Pick<SiteAsked, 'view' | 'problem'>): JSX.Element {
  const why = problem !== '' ? problem : view?.fixed;
  return why ? <p role="alert">{why}</p> : <p>Loading…</p>;
}

/** The page of the site. */
export function SitePage(): JSX.Element {
  const { view, problem, data, again } = useSite();
  return (
    <div lang="en">
      <h1>Site</h1>
      <p>
        Areas, circuits and luminaires, hours and rules. Every change is checked before it is saved, and
        entered in the log book. Changing these data never changes wiring.
      </p>
      {view && data ? (
        <>
          <Standing view={view} />
          <Kept revision={view.revision} look={again} />
          <Building data={data} fields={view.fields.site} />
          <section aria-label="Circuits and luminaires">
            <h2>Circuits and luminaires</h2>
            {data.circuits.map((circuit) => (
              <CircuitThings key={String(circuit.id)} circuit={circuit} />
            ))}
            <p>
              <a class="things-more" href={siteLink({ part: 'circuits', id: '' })}>
                Add a circuit
              </a>
            </p>
          </section>
          <Things part="areas" title="Areas" items={data.areas} add="Add an area" />
          <Things part="floors" title="Floors" items={data.floors} add="Add a floor" />
        </>
      ) : (
        <Unread view={view} problem={problem} />
      )}
    </div>
  );
}

/** The page of one form. */
export function SiteFormPage({ place }: { place: FormPlace }): JSX.Element {
  const { view, problem, data, again } = useSite();
  const isThere = data !== null && itemOf(data, place) !== undefined;
  return (
    <div lang="en">
      <p class="trail">
        <a href="#/site">Site</a>
      </p>
      <h1>{formTitle(place)}</h1>
      <p>{formCaution(place)}</p>
      {view && data && isThere ? (
        <>
          <Standing view={view} />
          <SiteForm key={view.revision} {...{ place, view, data, again }} />
        </>
      ) : view && data ? (
        <p>The site has no such thing any more.</p>
      ) : (
        <Unread view={view} problem={problem} />
      )}
    </div>
  );
}
