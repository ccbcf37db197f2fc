// Placing luminaires on a plan by hand: choose one, then click its place, or move its mark by the arrow keys.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { SiteFileView } from '../../api/site';
import type { FloorPlan, Spot } from '../../site/model';
import { useStore } from '../state/hooks';
import { askSite, changeSite } from '../state/host';
import { t } from '../tongues/tongue';
import type { PlanLamps, Shown } from '../words/floor';
import { orderName } from '../words/order';
import {
  changesOf,
  type Draft,
  fileLines,
  middleOf,
  movedBy,
  spotAt,
  spotWords,
  unsaved,
} from '../words/placing';
import { Picture, placeStyle } from './floorPicture';
import { FromHost } from './fromHost';
import { Shape } from './mark';
import { Signature } from './signature';

interface PlacingProps {
  plan: FloorPlan;
  /** As the site has them. */
  lamps: PlanLamps;
  /** As they would be. */
  shown: Shown[];
  unplaced: Shown[];
  draft: Draft;
  onDraft: (draft: Draft) => void;
  /** Saved, with what the host answered. */
  onDone: (answer: string) => void;
  onStop: () => void;
}

/** A mark that is chosen by a click or Enter, and moved by the arrow keys. */
function MovableMark(props: {
  shown: Shown;
  spot: Spot;
  isChosen: boolean;
  /** It takes the focus whenever this rises. */
  focus: number;
  onChoose: () => void;
  onMove: (spot: Spot) => void;
}): JSX.Element {
  const { shown, spot, isChosen, focus, onChoose, onMove } = props;
  const { id, place } = shown.luminaire;
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (focus === 0) return;
    button.current?.focus({ preventScroll: true });
    button.current?.scrollIntoView({ block: 'nearest', inline: 'nearest' });
  }, [focus]);
  const onKeyDown = (event: KeyboardEvent) => {
    const moved = movedBy(event.key, event.shiftKey, spot);
    if (!moved) return;
    event.preventDefault();
    onChoose();
    onMove(moved);
  };
  return (
    <li style={placeStyle(spot)}>
      <button
        type="button"
        ref={button}
        class={`spot ${shown.state.tone}${isChosen ? ' sought' : ''}`}
        aria-pressed={isChosen}
        aria-label={`${id}, ${place}`}
        onClick={onChoose}
        onKeyDown={onKeyDown}
      >
        <Shape tone={shown.state.tone} figure={shown.state.figure} />
        <span class="spot-id">{id}</span>
      </button>
    </li>
  );
}

function Choice(props: {
  chosen: string;
  shown: Shown[];
  unplaced: Shown[];
  onChoose: (id: string) => void;
}): JSX.Element {
  const { chosen, shown, unplaced, onChoose } = props;
  const select = useRef<HTMLSelectElement>(null);
  useEffect(() => select.current?.focus(), []);
  const group = (label: string, list: Shown[]) =>
    list.length === 0 ? null : (
      <optgroup label={label}>
        {[...list]
          .sort((a, b) => a.luminaire.id.localeCompare(b.luminaire.id))
          .map(({ luminaire: { id, place } }) => (
            <option key={id} value={id}>
              {id} {place}
            </option>
          ))}
      </optgroup>
    );
  return (
    <>
      <label for="placing-which">{t.placing.which}</label>
      <select
        id="placing-which"
        ref={select}
        value={chosen}
        onChange={({ currentTarget }) => onChoose(currentTarget.value)}
      >
        <option value="">{t.placing.choose}</option>
        {group(t.floor.notPlaced, unplaced)}
        {group(t.floor.onPlan, shown)}
      </select>
    </>
  );
}

interface SaveProps {
  lamps: PlanLamps;
  draft: Draft;
  onDone: (answer: string) => void;
}

/** The file as it is, and how places are saved into it. */
function useSaving({ lamps, draft, onDone }: SaveProps) {
  const store = useStore();
  const [file, setFile] = useState<SiteFileView | null>(null);
  const [name, setName] = useState(store.state.orderedBy);
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  const look = () => askSite().then(setFile, (error: Error) => setMistake(error.message));
  useEffect(() => void look(), []);
  const save = async (event: Event): Promise<void> => {
    event.preventDefault();
    const { who, mistake: nameless } = orderName(name);
    setMistake(nameless);
    if (nameless !== '' || !file) return;
    setSending(true);
    const changes = changesOf(lamps, draft);
    const outcome = await changeSite({ revision: file.revision, who, changes });
    setSending(false);
    if (outcome.ok) {
      store.change((s) => ({ ...s, orderedBy: name }));
      onDone(outcome.answer);
      return;
    }
    // What somebody else has saved meanwhile stays, and the same places can be saved into it.
    if (outcome.stale) await look();
    setMistake(outcome.stale ? t.placing.changed : outcome.answer);
  };
  return { file, name, setName, mistake, sending, save };
}

/** Who saves, and the button; or what to write into the file where it cannot be changed here. */
function Save(props: SaveProps): JSX.Element {
  const { lamps, draft } = props;
  const { file, name, setName, mistake, sending, save } = useSaving(props);
  const count = unsaved(lamps, draft).length;
  if (file && file.fixed !== '')
    return (
      <section aria-label={t.placing.forFile}>
        <p>
          <FromHost text={file.fixed} />
        </p>
        {count === 0 ? null : (
          <>
            <p>{t.placing.toWrite}</p>
            <pre lang="en">{fileLines(lamps, draft)}</pre>
          </>
        )}
      </section>
    );
  return (
    <form class="confirm" aria-label={t.placing.form} onSubmit={save}>
      <Signature id="placing-who" name={name} onName={setName} mistake={mistake} />
      <button type="submit" class="sure" disabled={sending || count === 0 || !file}>
        {sending ? t.placing.saving : t.placing.save(count)}
      </button>
    </form>
  );
}

/** Which luminaire is chosen, where it is put, and the focus on its mark after that. */
function useChoice({ plan, shown, unplaced, draft, onDraft }: PlacingProps) {
  const [chosen, choose] = useState('');
  const [focus, setFocus] = useState(0);
  const found = [...shown, ...unplaced].find(({ luminaire }) => luminaire.id === chosen)?.luminaire;
  const put = (id: string, spot: Spot | null) => onDraft(new Map(draft).set(id, spot));
  return {
    ...{ chosen, choose, found, focus, put },
    putAt: (spot: Spot) => {
      if (!found) return;
      put(chosen, spot);
      setFocus((n) => n + 1);
    },
    /** By keys: from where it is, or from the middle. */
    take: () => {
      if (!found?.spot) put(chosen, middleOf(plan));
      setFocus((n) => n + 1);
    },
  };
}

type Choosing = ReturnType<typeof useChoice>;

function MovableMarks({ shown, choosing }: { shown: Shown[]; choosing: Choosing }): JSX.Element {
  const { chosen, choose, focus, put } = choosing;
  return (
    <ul class="spots" aria-label={t.floor.lamps}>
      {shown.map((one) => {
        const { id, spot } = one.luminaire;
        return spot ? (
          <MovableMark
            key={id}
            shown={one}
            spot={spot}
            isChosen={id === chosen}
            focus={id === chosen ? focus : 0}
            onChoose={() => choose(id)}
            onMove={(to) => put(id, to)}
          />
        ) : null;
      })}
    </ul>
  );
}

/** Where the chosen luminaire is, and what can be done with it. */
function Chosen({ choosing: { chosen, found, put, take } }: { choosing: Choosing }): JSX.Element {
  const spot = found?.spot;
  return (
    <>
      <p role="status">
        {found ? `${chosen}: ${spot ? spotWords(spot) : t.placing.notYet}.` : t.placing.noneChosen}
      </p>
      {found ? (
        <div class="buttons">
          <button type="button" onClick={take}>
            {t.placing.byKeys(chosen)}
          </button>
          {spot ? (
            <button type="button" onClick={() => put(chosen, null)}>
              {t.placing.takeOff(chosen)}
            </button>
          ) : null}
        </div>
      ) : null}
    </>
  );
}

/** What is chosen, the plan with marks that can be moved, and the form to save. */
export function Placing(props: PlacingProps): JSX.Element {
  const { plan, lamps, shown, unplaced, draft, onDone, onStop } = props;
  const choosing = useChoice(props);
  const { chosen, choose, putAt } = choosing;
  const onPoint = (event: MouseEvent & { currentTarget: HTMLElement }) =>
    putAt(
      spotAt(plan.id, { x: event.clientX, y: event.clientY }, event.currentTarget.getBoundingClientRect()),
    );
  return (
    <>
      <section class="placing" aria-labelledby="placing">
        <h2 id="placing">{t.placing.start}</h2>
        <p>{t.placing.how}</p>
        <Choice chosen={chosen} shown={shown} unplaced={unplaced} onChoose={choose} />
        <Chosen choosing={choosing} />
      </section>
      <Picture plan={plan} towards={undefined}>
        {/* For the mouse and the finger; keys have a button of their own. */}
        <button type="button" class="plan-target" tabIndex={-1} aria-hidden="true" onClick={onPoint} />
        <MovableMarks shown={shown} choosing={choosing} />
      </Picture>
      <div class="saving">
        <Save lamps={lamps} draft={draft} onDone={onDone} />
        <button type="button" onClick={onStop}>
          {unsaved(lamps, draft).length === 0 ? t.placing.stop : t.placing.stopUnsaved}
        </button>
      </div>
    </>
  );
}
