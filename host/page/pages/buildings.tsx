// All buildings of a host, the worst first: which needs somebody now, and the way to each.
import type { JSX } from 'preact';
import type { BuildingLine, BuildingsView } from '../../api/buildings';
import { FromHost } from '../parts/fromHost';
import { Mark } from '../parts/mark';
import { buildingLink } from '../state/base';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { BUILDING_TONES, buildingsTally } from '../words/buildings';
import { luminaireLink } from '../words/route';
import { nearTime } from '../words/time';

function Name({ line }: { line: BuildingLine }): JSX.Element {
  const { id, name, word, circuits, luminaires } = line;
  const waits = usePage().outbox.pending.filter(({ site }) => site === id && id !== '').length;
  return (
    <th scope="row" class="wide">
      {word === 'not served' ? name : <a href={buildingLink(id)}>{name}</a>}
      {circuits > 0 ? <span class="quiet below">{t.buildings.size(circuits, luminaires)}</span> : null}
      {waits > 0 ? <span class="quiet below">{t.buildings.waiting(waits)}</span> : null}
    </th>
  );
}

function Newest({ line, now }: { line: BuildingLine; now: number }): JSX.Element {
  const { newest, id, timeZone } = line;
  if (!newest) return <span class="quiet">{t.buildings.none}</span>;
  const { luminaire, circuit, cause, since } = newest;
  return (
    <>
      {luminaire === '' ? circuit : <a href={buildingLink(id) + luminaireLink(luminaire)}>{luminaire}</a>}
      {since > 0 ? `, ${nearTime(since, now, timeZone)}` : null}: <FromHost text={cause} />
    </>
  );
}

/** A count, in bold where somebody has to act, and what goes with it. */
function Count({ n, more, isGrave }: { n: number; more: string[]; isGrave: boolean }): JSX.Element {
  const told = more.join(', ');
  return (
    <>
      {isGrave && n > 0 ? <strong>{n}</strong> : n}
      {told === '' ? null : <span class="quiet">, {told}</span>}
    </>
  );
}

function Served({ line, now }: { line: BuildingLine; now: number }): JSX.Element {
  const { off, unproven, testing, silent, neverHeard, defects, next, timeZone } = line;
  const words = t.buildings;
  return (
    <>
      <td class="wide" data-label={words.newest}>
        <Newest line={line} now={now} />
      </td>
      <td data-label={words.off}>
        <Count n={off} more={testing > 0 ? [words.forTest(testing)] : []} isGrave />
        {unproven > 0 ? <strong>, {words.unproven(unproven)}</strong> : null}
      </td>
      <td data-label={words.next}>
        {next ? nearTime(next.at, now, timeZone) : <span class="quiet">{words.none}</span>}
      </td>
      <td data-label={words.defects}>
        <Count n={defects} more={[]} isGrave />
      </td>
      <td data-label={words.silent}>
        <Count n={silent} more={neverHeard > 0 ? [words.neverHeard(neverHeard)] : []} isGrave />
      </td>
    </>
  );
}

function Row({ line, now }: { line: BuildingLine; now: number }): JSX.Element {
  const { word, trouble } = line;
  return (
    <tr>
      <Name line={line} />
      <td class="wide" data-label={t.buildings.state}>
        <Mark tone={BUILDING_TONES[word]} word={t.buildings.words[word]} />
        {word !== 'not served' && trouble !== '' ? (
          <p>
            <FromHost text={trouble} />
          </p>
        ) : null}
      </td>
      {word === 'not served' ? (
        <td class="wide reason" colSpan={5}>
          <FromHost text={trouble} />
        </td>
      ) : (
        <Served line={line} now={now} />
      )}
    </tr>
  );
}

function Table({ view }: { view: BuildingsView }): JSX.Element {
  const words = t.buildings;
  const titles = [
    words.building,
    words.state,
    words.newest,
    words.off,
    words.next,
    words.defects,
    words.silent,
  ];
  return (
    <table class="stacking buildings">
      <thead>
        <tr>
          {titles.map((title) => (
            <th scope="col" key={title}>
              {title}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {view.buildings.map((line) => (
          <Row key={`${line.id} ${line.name}`} line={line} now={view.now} />
        ))}
      </tbody>
    </table>
  );
}

/** The page a facilities manager begins with. */
export function BuildingsPage(): JSX.Element {
  const { overview } = usePage();
  if (!overview) return <h1>{t.frame.loading}</h1>;
  const { buildings } = overview;
  return (
    <>
      <h1>{t.buildings.title(buildings.length)}</h1>
      {buildings.length === 0 ? (
        <p>{t.buildings.notYours}</p>
      ) : (
        <p class="tally">{buildingsTally(buildings)}</p>
      )}
      {buildings.length === 0 ? null : <Table view={overview} />}
    </>
  );
}
