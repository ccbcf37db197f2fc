// The battery outlook as lines for a person at a terminal, within 80 columns.
import {
  type BatteryType,
  type LampOutlook,
  replacementOrder,
  type TypeOutlook,
  tooLittle,
} from '../outlook/outlook';
import { monthWord, UNDATED } from '../outlook/words';
import { localDate } from '../site/civil';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { lengthWord } from '../words/length';

export interface OutlookAsked {
  now: number;
  by: number;
  /** How many luminaires can get a new battery; undefined: as many as need one. */
  budget: number | undefined;
}

const WIDTH = 80;
/** From this chance on a battery will more probably fall short than last. */
const PROBABLE = 0.5;

/** Lines of at most 80 columns. */
function wrapped(text: string): string[] {
  const lines = [''];
  for (const word of text.split(' ')) {
    const line = lines[lines.length - 1];
    if (line !== '' && line.length + 1 + word.length > WIDTH) lines.push(word);
    else lines[lines.length - 1] = line === '' ? word : `${line} ${word}`;
  }
  return lines;
}

function percent(share: number): string {
  if (share < 0.01) return '< 1 %';
  return share > 0.99 ? '> 99 %' : `${Math.round(100 * share)} %`;
}

function typeWord({ chemistry, ratedSec, celsius }: BatteryType): string {
  const warm = celsius === null ? 'temperature not stated' : `at about ${celsius} degrees`;
  return `${chemistry}, rated ${lengthWord(ratedSec)}, ${warm}`;
}

function stateWord(site: Site, { batteries }: LampOutlook): string {
  const { present } = batteries;
  if (present.state === 'failed')
    return `lasted only ${lengthWord(Math.floor(present.litSec / 60) * 60)} on ${localDate(site.timeZone, present.at)}`;
  if (present.state === 'undated') return 'probably changed, on a date not known';
  return present.state === 'untested' ? 'no duration test passed yet' : '';
}

function row(site: Site, lamp: LampOutlook, width: number, now: number): string {
  const { luminaire, forecast } = lamp;
  const head = `  ${luminaire.id.padEnd(width)}  ${luminaire.batteryFitted}  `;
  if (!forecast) return `${head}${stateWord(site, lamp)}`;
  const [early, likely, late] = [forecast.early, forecast.likely, forecast.late].map((at) =>
    monthWord(site.timeZone, at, now),
  );
  return `${head}${likely.padEnd(10)}  ${`${early} to ${late}`.padEnd(21)} ${percent(forecast.chance).padStart(6)}`;
}

function table(site: Site, lamps: readonly LampOutlook[], { now, by }: OutlookAsked): string[] {
  const width = Math.max(9, ...lamps.map(({ luminaire }) => luminaire.id.length));
  const until = localDate(site.timeZone, by);
  return [
    `  ${''.padEnd(width)}  battery     probably    90 % of such        short by`,
    `  ${'luminaire'.padEnd(width)}  of          lasts until batteries until   ${until}`,
    ...lamps.map((lamp) => row(site, lamp, width, now)),
  ];
}

/** What the type's batteries have shown so far, counted, beside the model. */
function restsOn({ model, failures, failuresPerLamp, lamps }: TypeOutlook): string {
  if (!model) return '';
  const oldest = Math.min(...lamps.flatMap(({ batteries }) => batteries.lives.map(({ entry }) => entry)));
  const [young, likely, old] = [0.05, 0.5, 0.95].map((share) => model.ageAt(share, oldest).toFixed(1));
  const steps = model.counted.filter(({ at }) => Number.isFinite(at));
  const step = steps.find(({ share }) => share < 0.75) ?? steps[steps.length - 1];
  const own = 1 - model.failsBy(step.at, oldest);
  const mean = failuresPerLamp[failuresPerLamp.length - 1];
  return (
    `Rests on ${counted(failures, 'battery', 'batteries')} that failed from age. Half of such batteries probably ` +
    `fall short by ${likely} years, 90 % between ${young} and ${old} years. At ${step.at.toFixed(1)} years ` +
    `${percent(step.share)} still lasted as counted, ${percent(own)} by this model.` +
    (mean ? ` So far ${mean.mean.toFixed(2)} failures a luminaire in ${mean.at.toFixed(1)} years.` : '')
  );
}

function typeLines(site: Site, one: TypeOutlook, asked: OutlookAsked): string[] {
  const head = `${typeWord(one.type)}: ${counted(one.lamps.length, 'luminaire')}`;
  const why = tooLittle(one);
  if (why !== '')
    return [...wrapped(`${head}`), ...wrapped(`Too little data: ${why}. Nothing is promised.`), ''];
  const order = (lamp: LampOutlook) => lamp.forecast?.chance ?? -1;
  const lamps = [...one.lamps].sort((a, b) => order(b) - order(a));
  return [head, ...wrapped(restsOn(one)), ...table(site, lamps, asked), ''];
}

function namesOf(lamps: readonly LampOutlook[]): string {
  return lamps.map(({ luminaire }) => luminaire.id).join(', ');
}

function isShort({ batteries }: LampOutlook): boolean {
  return batteries.present.state === 'failed';
}

/** What is known without any model. */
function known(types: readonly TypeOutlook[]): string[] {
  const lamps = types.flatMap((one) => one.lamps);
  const short = lamps.filter(isShort);
  const undated = lamps.filter(({ batteries }) => batteries.present.state === 'undated');
  return [
    ...(short.length > 0 ? wrapped(`Already short in the last duration test: ${namesOf(short)}.`) : []),
    ...(undated.length > 0 ? wrapped(`The battery of these was ${UNDATED}: ${namesOf(undated)}.`) : []),
  ];
}

function foretold(site: Site, types: readonly TypeOutlook[], { by, budget }: OutlookAsked): string[] {
  const until = localDate(site.timeZone, by);
  const order = replacementOrder(types);
  const sum = (lamps: readonly LampOutlook[]) =>
    lamps.reduce((total, { forecast }) => total + (forecast?.chance ?? 0), 0).toFixed(1);
  const probable = order.filter((lamp) => isShort(lamp) || (lamp.forecast?.chance ?? 0) >= PROBABLE);
  const chosen = budget === undefined ? probable : order.slice(0, budget);
  const what =
    budget === undefined
      ? `Will probably not last until ${until}`
      : `The ${counted(chosen.length, 'battery', 'batteries')} most likely to be short by ${until}`;
  return [
    ...wrapped(
      `Of all with a forecast, about ${sum(order)} probably fall short by ${until}, if none is changed.`,
    ),
    ...wrapped(`${what}: ${chosen.length === 0 ? 'none' : namesOf(chosen)}.`),
    ...(budget === undefined
      ? []
      : wrapped(`With those changed, about ${sum(order.slice(chosen.length))} of the others.`)),
  ];
}

/** Those whose current at the end of the duration test falls beyond doubt: a sign, and no more. */
function falling(types: readonly TypeOutlook[]): string[] {
  const lines = types
    .flatMap(({ lamps }) => lamps)
    .flatMap(({ luminaire, endTrend }) =>
      endTrend && endTrend.upper < 0
        ? [
            `${luminaire.id} by ${(-100 * endTrend.slope).toFixed(1)} % a year ` +
              `(${(-100 * endTrend.upper).toFixed(1)} to ${(-100 * endTrend.lower).toFixed(1)})`,
          ]
        : [],
    );
  return lines.length === 0
    ? []
    : wrapped(`Current at the end of the duration test falls: ${lines.join(', ')}.`);
}

/** The whole outlook. */
export function outlookLines(site: Site, types: readonly TypeOutlook[], asked: OutlookAsked): string[] {
  return [
    `Battery outlook of ${site.name} on ${localDate(site.timeZone, asked.now)}`,
    ...wrapped(
      'An estimate from duration tests, never a certainty. It says when a battery probably no longer lasts its ' +
        'rated duration because of age; lamps, chargers and sudden faults are not in it.',
    ),
    '',
    ...types.flatMap((one) => typeLines(site, one, asked)),
    ...known(types),
    ...(types.some(({ model }) => model) ? foretold(site, types, asked) : []),
    ...falling(types),
  ];
}
