// The words of the pages that change the site, in English; see en.ts.
import { plurals } from './plurals';

const { count, number } = plurals('en-GB');

const UNTIL = 'Until then it works with the site as it was, and all pages show that.';

export const site = {
  title: 'Site',
  intro:
    'Areas, circuits and luminaires, hours and rules. Every change is checked before it is saved, and entered in the ' +
    'log book. Changing these data never changes wiring.',
  rules: 'Hours and rules',
  changeRules: 'Change hours and rules',
  circuits: 'Circuits and luminaires',
  areas: 'Areas',
  floors: 'Floors',
  addCircuit: 'Add a circuit',
  addArea: 'Add an area',
  addFloor: 'Add a floor',
  addLuminaire: (circuit: string) => `Add a luminaire to ${circuit}`,
  circuitLine: (name: string, luminaires: number) =>
    `${name}, ${count(luminaires, 'luminaire', 'luminaires')}`,
  gone: 'The site has no such thing any more.',
  byHand: (file: string) =>
    `${file} was changed since the host was started. It takes effect when the host is started again; until then ` +
    'nothing can be saved here, unless only comments were changed.',
  taking: `The last change is saved. The host is taking it over. ${UNTIL}`,
  reading: (percent: number) =>
    `The last change is saved. The host is taking it over: ${number(percent)} % of the log book is read for it. ${UNTIL}`,
  waiting: (why: string) => `The last change is saved. The host waits with it: ${why}. ${UNTIL}`,
  taken: 'Saved, and entered in the log book. The host works with it now.',

  kept: {
    label: 'Not saved yet',
    stale:
      'The file was changed since, in another window or in the file itself. Try this on the new file, where it is ' +
      'checked again, or give it up.',
    fresh: 'It is saved together with the next change.',
    tryNew: 'Try it on the new file',
    tryAgain: 'Try to save it',
    giveUp: 'Give it up',
  },

  /** Headings of forms. */
  add: {
    floors: 'New floor',
    areas: 'New area',
    circuits: 'New circuit',
    luminaires: 'New luminaire',
  },
  addIn: (circuit: string) => `New luminaire in circuit ${circuit}`,
  change: {
    floors: (id: string) => `Change floor ${id}`,
    areas: (id: string) => `Change area ${id}`,
    circuits: (id: string) => `Change circuit ${id}`,
    luminaires: (id: string) => `Change luminaire ${id}`,
  },

  caution: {
    data: 'Changing these data never changes wiring.',
    rules: 'Tests are planned anew by what you change here.',
    luminaire: 'Check the rated duration on the luminaire’s plate, and measure its currents.',
    newLuminaire: 'It is read at the next sensor input of its circuit.',
    circuit: 'The id is also in the controller: after another id, commission the controller anew.',
    newCircuit: 'It needs a controller, commissioned for this id, and at least one luminaire.',
  },

  move: {
    only: (id: string, to: string) => `Change it here only if luminaire ${id} is fed by circuit ${to}.`,
    input: (to: string, input: number) =>
      `It will be read at sensor input ${number(input)} of circuit ${to}.`,
    module: (to: string) => `It needs a current module on the bus of circuit ${to}.`,
    along:
      'Its results and its battery data go with it. If its temperature is not known, that of the new circuit holds.',
    up: (ids: string) => `${ids} will be read one sensor input further up: move their sensor wires too.`,
  },

  remove: {
    button: 'Remove…',
    yes: 'Remove it',
    no: 'Keep it',
    floors: (id: string) => `Remove floor ${id}?`,
    areas: (id: string) => `Remove area ${id}?`,
    circuits: (id: string) =>
      `Remove circuit ${id} with all its luminaires? Its results stay in the log book. Its controller keeps its plan ` +
      'and goes on testing until it is taken out.',
    luminaires: (id: string) => `Remove luminaire ${id}? Its results stay in the log book.`,
  },

  ones: { floor: 'floor', area: 'area', circuit: 'circuit', luminaire: 'luminaire' },

  /** What a change is about, and what is done with it. */
  thing: {
    site: 'the building',
    floors: (id: string) => `floor ${id}`,
    areas: (id: string) => `area ${id}`,
    circuits: (id: string) => `circuit ${id}`,
    luminaires: (id: string) => `luminaire ${id}`,
  },
  did: {
    added: (thing: string) => `${thing} added`,
    removed: (thing: string) => `${thing} removed`,
    renamed: (thing: string, to: string) => `${thing} is now ${to}`,
    moved: (thing: string, to: string) => `${thing} moved to circuit ${to}`,
    changed: (thing: string, field: string) => `${thing}: ${field} changed`,
  },

  form: {
    label: 'Changes',
    fields: 'Fields',
    here: 'Nothing was saved. Correct the fields marked below.',
    elsewhere: 'Nothing was saved yet.',
    nothing: 'Nothing is changed here yet.',
    mend: 'If another change mends this, keep this one and enter the other:',
    keep: 'Keep it and go on',
    reload: 'Load the page again',
    saving: 'Saving…',
    save: 'Save',
    leave: 'Leave it as it was',
  },

  field: {
    circuit: 'Circuit',
    choose: 'Choose…',
    notSaid: (otherwise: string) => `Not said: ${otherwise}`,
    yes: 'Yes',
    no: 'No',
    never: 'never',
    everyDay: 'every day',
    hours: (n: number) => `Hours ${number(n)}`,
    from: 'From',
    to: 'To',
    remove: 'Remove',
    removeHours: (n: number) => `Remove hours ${number(n)}`,
    noHours: 'No hours.',
    addHours: 'Add hours',
    ownHours: 'Give its own hours',
    noneOwn: (otherwise: string) => `None of its own: ${otherwise}`,
    dates: 'One date a line, as 2026-12-25.',
    example: (text: string) => `For example: ${text}.`,
    empty: (otherwise: string) => `Empty: ${otherwise}.`,
    unmarked: (otherwise: string) => `None marked: ${otherwise}.`,
  },

  /** Values of the file that are words; the file keeps its own. */
  options: {
    measured: 'measured',
    expected: 'expected',
    'lead-acid': 'lead-acid',
    even: 'even',
    odd: 'odd',
    none: 'none',
    input: 'input',
    holding: 'holding',
  },
};

export type SiteWords = typeof site;
