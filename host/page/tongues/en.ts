// Every word of the page in English. Its shape is that of every other language: a missing or a misspelt key does not
// compile. Lengths of time, dates and ids come in as text already.

import { capital } from '../../words/capital';
import { site } from './enSite';
import { plurals } from './plurals';
import { SAID, type Said } from './said';

const { count, form, number } = plurals('en-GB');
/** With a decimal only where there is one. */
const percent = (share: number) => number(share, share % 1 === 0 ? 0 : 1);

const NOT_ISOLATION = 'An open relay is not isolation: prove dead before work.';
const LIMITED = 'limited duration test (2/3, not the full duration)';

export const en = {
  /** Its BCP 47 tag, for the page. */
  lang: 'en',
  /** Its own name. */
  name: 'English',
  /** BCP 47 tag by which days, times and numbers are written. */
  locale: 'en-GB',
  and: ' and ',
  or: ' or ',

  frame: {
    language: 'Language',
    pages: 'Pages',
    skip: 'Skip to content',
    emergencyLighting: 'emergency lighting',
    tonight: 'Tonight',
    defects: 'Defects',
    year: 'Year',
    duties: 'Duties',
    log: 'Log book',
    reports: 'Reports',
    account: 'Account',
    accounts: 'Accounts',
    site: 'Site',
    notice: 'Notice',
    overdue: 'overdue',
    circuit: (id: string) => `Circuit ${id}`,
    luminaire: (id: string) => `Luminaire ${id}`,
    duty: (title: string) => `Duty ${title}`,
    notFound: 'Page not found',
    goHome: 'Go to Tonight',
    loading: 'Loading…',
    nothingYet: 'Nothing to show yet',
    stillTrying: 'Still trying to connect.',
    noCircuit: (id: string) => `This building has no circuit ${id}`,
    noLuminaire: (id: string) => `This building has no luminaire ${id}`,
    noDuty: (id: string) => `This building has no duty ${id}`,
    fast: (times: number) => `, running ${times}× fast`,
  },

  banners: {
    notices: 'Notices',
    lost: 'Connection lost,',
    lostMore: (heard: string) => `${heard}. What you see may be out of date. Still trying to reconnect.`,
    lastHeard: (at: string, age: string) => `last heard ${at} (${age})`,
    nothingHeard: 'nothing heard yet',
    inDoubt: 'The log book is in doubt.',
    simulated: 'Simulated controllers.',
    simulatedMore: 'No real luminaire is being tested.',
    waiting: (n: number) =>
      n === 1 ? '1 entry waits for the connection.' : `${number(n)} entries wait for the connection.`,
    refused: (n: number) => `${n === 1 ? '1 entry was' : `${number(n)} entries were`} refused.`,
    see: (n: number) => `See ${n === 1 ? 'it' : 'them'}`,
  },

  caution: {
    current: 'Lamp current is evidence that a lamp is lit, not a measurement of light.',
    checks: 'Visual and photometric checks are still required.',
    relay: 'Relay open is not isolation.',
    dead: 'Prove dead before work.',
    who: (responsible: string, rules: string, zone: string) =>
      `Responsible for the emergency lighting: ${responsible}. Rules: ${rules}. Times: ${zone}.`,
  },

  root: {
    label: 'Root of the log book',
    code: 'Root as a code',
    head: (origin: string, size: number, at: string) =>
      `Log book ${origin}, up to entry ${number(size)}, ${at}. Root:`,
    key: 'Key:',
    keep: 'Keep this sheet: with it anyone can show later whether an entry was changed (logbook verify --noted).',
    byHand: 'Root seen and noted by: ____________________ Date: ____________',
  },

  notice: {
    title: 'Emergency lighting notice',
    until: (end: string) => `until ${end}`,
    furtherNotice: 'until further notice',
    from: (start: string) => `from ${start} `,
    mayFail: (start: string, end: string) => `The emergency lighting may not work here ${start}${end}.`,
    someFailed: 'Some emergency luminaires do not work here.',
    notKnown: 'It is not known whether the emergency lighting works here.',
    someNotKnown: 'It is not known whether all emergency luminaires work here.',
    titleMayFail: 'The emergency lighting may not work in some places',
    titleFailed: 'Some emergency luminaires do not work',
    titleNotKnown: 'It is not known whether the emergency lighting works',
    titleSomeNotKnown: 'It is not known whether all emergency luminaires work',
    titleNothing: 'No batteries are discharging or recharging, and no test is planned',
    none: 'No notice has to be put up.',
    leaveUp: (who: string) => `Leave this notice up until ${who} takes it down.`,
    takeDown: (at: string) => `Take down after ${at}.`,
    written: (building: string, at: string) => `${building}. Written ${at}.`,
    print: 'Print',
  },

  risk: {
    discharging: 'On battery',
    recharging: 'Recharging',
    planned: 'Planned',
    notKnown: 'Not known whether all batteries are full',
    nothing: 'No batteries are discharging or recharging',
    tonight: 'Batteries will not be full tonight',
    now: 'Batteries not full',
    toPrint: 'Notice to print and put up',
  },

  kinds: {
    '': '',
    brief: 'function test',
    full: 'duration test',
    limited: LIMITED,
    commissioning: 'commissioning test',
  },

  phases: {
    starting: 'Starting',
    charged: 'Charged',
    recharging: 'Recharging',
    opening: 'Opening relay',
    brief: 'Function test',
    full: 'Duration test',
    limited: 'Limited duration test (2/3, not the full duration)',
    commissioning: 'Commissioning test',
    restoring: 'Restoring mains',
    outage: 'Mains outage',
    held: 'On hold',
    fault: 'Tester fault',
    neverHeard: 'Never heard from',
    silent: 'Silent',
  },

  verdicts: {
    pass: 'pass',
    fail: 'fail',
    void: 'void',
    open: 'under test',
    untested: 'untested',
  },
  /** So many luminaires with a verdict. */
  counted: {
    pass: (n: number) => `${number(n)} pass`,
    fail: (n: number) => `${number(n)} fail`,
    void: (n: number) => `${number(n)} void`,
    open: (n: number) => `${number(n)} under test`,
    untested: (n: number) => `${number(n)} untested`,
  },
  glow: { lit: 'lit', dim: 'dim', dark: 'dark', none: 'no reading' },
  /** States of the tests of a night. */
  tests: {
    due: 'due',
    running: 'running',
    pass: 'pass',
    fail: 'fail',
    void: 'void',
    'not run': 'not run',
    'not known': 'not known',
  },
  modes: {
    'non-maintained': 'non-maintained',
    maintained: 'maintained',
    'switched maintained': 'switched maintained',
    combined: 'combined',
  },

  time: {
    secondsAgo: (n: number) => `${number(n)} s ago`,
    minutesAgo: (n: number) => `${number(n)} min ago`,
    hoursAgo: (n: number) => `${number(n)} h ago`,
    daysAgo: (n: number) => `${count(n, 'day', 'days')} ago`,
  },

  contact: {
    never: 'Never heard from',
    silent: (at: string) => `Silent since ${at}`,
    late: (at: string) => `Late, last heard ${at}`,
    reporting: (at: string) => `Reporting, last heard ${at}`,
    recharging: (until: string) => `Batteries recharging until ${until}`,
    cannotStart: (why: string) => `A test cannot start: ${why}`,
    held: (who: string, until: string) => `Held by ${who} until ${until}`,
    attended: (who: string, until: string) => `Engineer working here until ${until}: ${who}`,
    willAttend: (who: string, from: string, until: string) =>
      `Engineer working here from ${from} until ${until}: ${who}`,
    notKnown: 'not known',
    whenLastHeard: (word: string) => `not known; ${word} when last heard`,
    on: 'on',
    off: 'off',
    open: 'open',
    closed: 'closed',
    before: 'Supply before relay',
    after: 'Supply after relay',
    relay: 'Relay',
    controller: 'Controller',
    senses: (after: string, relay: string) => `Supply after relay: ${after}. Relay: ${relay}.`,
  },

  headline: {
    noReports: 'No controller has reported yet.',
    nothingKnown: (circuits: number) =>
      `No controller has reported yet: nothing is known of ${count(circuits, 'circuit', 'circuits')}.`,
    several: (circuits: number, told: string) => `${count(circuits, 'circuit', 'circuits')}: ${told}.`,
    one: (circuits: number, group: string) =>
      `${circuits === 1 ? '' : 'All '}${count(circuits, 'circuit', 'circuits')} ${group}.`,
    /** What so many circuits are doing. */
    groups: {
      onBattery: (_: number) => 'on battery now',
      fault: (_: number) => 'with a tester fault',
      outage: (_: number) => 'back after an outage',
      testing: (_: number) => 'under test',
      recharging: (_: number) => 'recharging',
      held: (_: number) => 'on hold',
      charged: (_: number) => 'charged',
      notKnown: (_: number) => 'not known',
    },
    nothing: 'Nothing needs attention.',
    attention: (luminaires: number, circuits: number) => {
      const parts = [
        ...(luminaires > 0 ? [count(luminaires, 'luminaire', 'luminaires')] : []),
        ...(circuits > 0 ? [count(circuits, 'circuit', 'circuits')] : []),
      ];
      return `${parts.join(' and ')} need${luminaires + circuits === 1 ? 's' : ''} attention.`;
    },
    tally: (luminaires: number, parts: string) => {
      const total = count(luminaires, 'luminaire', 'luminaires');
      return parts === '' ? `${total}.` : `${total}: ${parts}.`;
    },
  },

  tonight: {
    running: 'Running now',
    building: 'The building',
    title: 'Tonight’s tests',
    titleOf: (from: string, to: string) => `Tonight’s tests: ${from} to ${to}`,
    next: (from: string, to: string) => `Next test night: ${from} to ${to}`,
    nonePlanned: 'No tests planned.',
    window: 'Test window',
    circuit: 'Circuit',
    test: 'Test',
    state: 'State',
    notPassed: (circuit: string) => `Luminaires of ${circuit} that have not passed`,
    passed: (n: number, isRest: boolean) =>
      `${number(n)} ${isRest ? 'other ' : ''}luminaire${n === 1 ? '' : 's'} passed.`,
  },

  attention: {
    title: 'Needs attention',
    next: 'Next:',
    allDefects: 'All defects: who sees to them, and by when',
    since: (at: string) => `Since ${at}`,
    sinceDays: (day: string, days: number) => `Since ${day}, ${count(days, 'day', 'days')}`,
    neverHeard: 'Controller never heard from',
    notHeard: 'Controller not heard since the host started',
    neverHeardNext: 'Check its supply and its network, and that it was set up for this circuit.',
    silent: 'Controller silent',
    silentNext: 'Check the controller’s supply and its network; go and see whether the mains is on.',
    outage: 'Mains outage',
    outageNext: 'Find out why the mains is off.',
    fault: 'Tester fault',
    faultNext: 'Look at the tester: relay, sensors, wiring. When it is repaired, clear the fault.',
    unconfirmed: 'Supply not confirmed',
    unconfirmedNext: 'Go there now and restore the supply by hand.',
    failed: 'Luminaire failed',
    failedNext: 'Repair it, then report the repair on its page.',
    retestOpen: 'Repaired; its retest is being planned.',
    retestAt: (at: string) => `Repaired; wait for the retest on ${at}.`,
    overdue: (n: number) => count(n, 'test overdue', 'tests overdue'),
    overdueMore: 'Its test window has passed without a result.',
    overdueNext: 'Its page says what it waits for; or start the test while someone works there.',
    held: 'Testing still on hold',
    heldNext: 'Release the hold as soon as the work is finished.',
    anew: 'Controller began with an empty memory',
    anewMore:
      'Its memory was erased, or it was replaced. What it had not yet sent is lost; settings and plan are sent ' +
      'again by themselves.',
    anewNext: 'If nobody replaced it, have it looked at. Shown until its next test is completed.',
    fullOverdue: 'Duration test overdue',
    fullOverdueMore:
      'The last duration test was longer ago than the rules permit. Limited duration tests do not count.',
    fullOverdueNext: 'Start a duration test while someone works there, or have the test windows widened.',
    neverFull: 'Never had a duration test',
    neverFullMore: 'The rules ask for the first duration test within the same time as for the next ones.',
    duties: (n: number) => count(n, 'duty overdue', 'duties overdue'),
    longest: (duty: string) => `The longest: ${duty}.`,
    dutiesNext: 'Do it, or have it done, and enter it.',
    findings: (n: number) => count(n, 'finding not put right', 'findings not put right'),
    oldest: (finding: string) => `The oldest: ${finding}.`,
    findingsNext: 'Have it put right, then enter it as in order.',
    failedFull: 'failed its last duration test',
    litFor: (length: string) => `, lit for ${length}`,
  },

  circuit: {
    luminaires: 'Luminaires',
    luminaire: 'Luminaire',
    place: 'Place',
    mode: 'Mode',
    state: 'State',
    lastProven: 'Last proven',
    lastAttempt: 'Last attempt',
    lastFull: 'Last duration test',
    facts: (floor: string, areas: string, rated: string) =>
      `${floor}. Areas: ${areas}. Rated duration ${rated}.`,
    shared: 'The relay also switches off the normal lighting, so it opens only when the area is empty.',
    lastFullOn: (last: string, due: string) =>
      `The last duration test was on ${last}; the next is due by ${due}.`,
    noFull: 'No duration test is on record.',
    limited: 'Limited duration tests (2/3) are planned here because people are always present.',
    limitedMore: 'The duration test is still due unless the local rule accepts the limited one.',
    orders: 'Orders',
    now: 'Now',
    log: 'Log book of this circuit',
  },

  running: {
    label: (circuit: string) => `Running test ${circuit}`,
    finished: 'Finished',
    notStarted: 'Not started yet',
    of: (length: string) => `of ${length}`,
    soFar: (circuit: string) => `Test of ${circuit} so far`,
    lamps: 'Luminaires under test',
    curve: (lines: number, failed: number) =>
      `Lamp currents so far, percent of the commissioned value, ${number(lines)} lines, ${number(failed)} failed`,
    caption: (floor: number) =>
      'Lamp current during the test, from when this page was opened. Thin line: 100 % of the commissioned ' +
      `current. Dashed line: ${number(floor)} %, the minimum that counts as lit.`,
    restoring: 'Restoring mains…',
  },

  lamp: {
    nothingYet: 'nothing yet',
    noneYet: 'none yet',
    same: 'the same',
    lit: (verdict: string, length: string, at: string) => `${verdict}, lit ${length}, ${at}`,
  },

  luminaire: {
    more: (mode: string, rated: string, chemistry: string, fitted: string) =>
      `Mode: ${mode}. Rated duration ${rated}. ${chemistry} battery, fitted ${fitted}.`,
    state: 'State',
    lasts: (proven: string, attempt: string) => `Last proven: ${proven}. Last attempt: ${attempt}`,
    diagnosis: 'Diagnosis:',
    outlook: 'Battery outlook:',
    notTested: 'Not tested since repair:',
    curves: 'Discharge curves, year by year',
    noCurve: 'No duration test has recorded a curve yet.',
    curvesLabel: (n: number, minutes: number) =>
      `Discharge curves of ${count(n, 'duration test', 'duration tests')}, rated duration ${number(minutes)} minutes; described below`,
    litFor: (length: string) => `lit for ${length}`,
    litToEnd: 'lit to the end',
    below: (floor: number, length: string) => `below ${number(floor)} % after about ${length}`,
    curveKey: (day: string, lit: string, bound: number) => `${day}: ${lit}, curve accurate to ± ${bound} %`,
    minimum: (floor: number) => `Minimum, ${number(floor)} %`,
    rated: (minutes: number) => `rated ${number(minutes)} min`,
    minutes: 'Minutes on battery',
    percent: '% of commissioned current',
    results: 'Results',
    noResults: 'Not tested yet.',
    when: 'When',
    test: 'Test',
    verdict: 'Verdict',
    lit: 'Lit for',
    at5: 'at 5 s',
    at60: 'at 60 s',
    atEnd: 'at the end',
    entry: 'Entry',
    baseline: 'Commissioned current',
    onBattery: (battery: number) => `${number(battery)} mA on battery`,
    onBoth: (battery: number, mains: number) =>
      `${number(battery)} mA on battery, ${number(mains)} mA on mains`,
    judged: 'Judged against',
    fromSite: ', from the site file.',
    acceptedBy: (who: string, day: string, site: string) =>
      `, accepted by ${who} on ${day} (site file: ${site}).`,
    measured: (day: string, currents: string) => `Measured in the latest complete test, ${day}: ${currents}.`,
    notMeasured: 'No complete test has measured it yet.',
    cannotAccept: 'These values cannot be accepted.',
    defects: (n: number) => form(n, 'Defect', 'Defects'),
  },

  orders: {
    sending: 'Sending…',
    choose: 'Choose…',
    yourName: 'Your name',
    dismiss: 'Dismiss',
    nameMissing: 'Type your name: the log book records who gave the order.',
    nameLong: (most: number) => `Use ${number(most)} characters or fewer.`,
    nameLetters: 'Use letters, digits and punctuation: no " or \\, and no invisible characters.',
    forHowLong: 'For how long',
    howMuch: 'By how much',
    whichTest: 'Which test',
    chooseTest: 'Choose which test.',
    whatDone: 'What was done',
    chooseDone: 'Choose what was done: it decides which test follows.',
    hours: (n: number) => count(n, 'hour', 'hours'),
    days: (n: number) => count(n, 'day', 'days'),
    minutes: (n: number) => count(n, 'minute', 'minutes'),
    parts: {
      battery: 'Battery changed',
      lamp: 'Lamp changed',
      'driver or charger': 'Driver or charger changed',
      'whole luminaire': 'Whole luminaire changed',
      other: 'Something else, such as a loose connection',
    },
    cost: (off: string, recharge: string) =>
      `The supply will be off for ${off}, then the batteries recharge for ${recharge}.`,
    notIsolation: NOT_ISOLATION,
    restore: {
      button: 'Restore supply',
      consequence: 'Mains comes back now. This test is void and will be tried again.',
      yes: 'Yes, restore supply',
      no: 'No, let the test run',
    },
    'clear fault': {
      button: 'Clear fault',
      consequence:
        'Only when the relay and its wiring are repaired and proven: the controller will start tests again by itself ' +
        'and cut the supply.',
      yes: 'Yes, repaired: clear it',
      no: 'No, leave it',
    },
    hold: {
      button: 'Hold testing',
      consequence:
        'No test starts on this circuit until the time is up or the hold is released. A running test ends now and ' +
        'is void.',
      yes: 'Yes, hold testing',
      no: 'No, keep testing',
    },
    release: {
      button: 'Release hold',
      consequence:
        'Only when the work is finished: tests start again by themselves in the test window and cut the supply.',
      yes: 'Yes, release the hold',
      no: 'No, keep the hold',
    },
    test: {
      button: 'Start a test now',
      consequence:
        'The supply to these luminaires is cut as soon as the controller allows it. If it refuses, it says why.',
      yes: 'Yes, start the test',
      no: 'No, cancel',
    },
    extend: {
      button: 'Extend for walk-round',
      consequence: 'The supply stays off for longer, and the batteries then need a full recharge.',
      yes: 'Yes, extend the test',
      no: 'No, end as planned',
    },
    attend: {
      button: 'I am working here',
      consequence:
        'Tests on this circuit can now be started on demand, even during the day, but only on the circuit’s own ' +
        'days: neighbouring circuits are never tested together.',
      yes: 'Yes, I am working here',
      no: 'No, cancel',
    },
    acceptAll: {
      button: 'Accept all measured currents',
      consequence:
        'From now on the luminaires of this circuit are judged against the measured currents. Look at each one first: it ' +
        'must be bright, clean and undamaged. Once a weak lamp is accepted, it is never reported.',
      yes: 'Yes, accept all',
      no: 'No, leave them',
    },
    accept: {
      button: 'Accept measured currents',
      consequence:
        'From now on this luminaire is judged against the measured currents. Look at it first: it must be bright, ' +
        'clean and undamaged. Once a weak lamp is accepted, it is never reported.',
      yes: 'Yes, accept',
      no: 'No, leave it',
    },
    repaired: {
      button: 'Report a repair',
      consequence:
        'Only when the work is finished: the repair goes into the log book and the luminaire is tested again in the ' +
        'test window, which cuts the supply to its circuit. Only a pass clears the failure.',
      yes: 'Yes, report the repair',
      no: 'No, not yet',
    },
    leave: {
      button: 'I am leaving',
      consequence: 'Tests can no longer be started on demand outside the test window.',
      yes: 'Yes, I am leaving',
      no: 'No, still here',
    },
  },

  progress: {
    accepted: 'order accepted.',
    notAccepted: 'order not accepted.',
    recorded: 'repair recorded.',
    notRecorded: 'repair not recorded.',
    noAnswer: 'no answer to the order.',
    soFar: (sentence: string) => `So far: ${sentence}`,
    waiting: (why: string) => `Waiting: ${why}`,
    waitingResult: 'Waiting for its result.',
    back: 'The supply is back. Waiting for the result of the test.',
    notBack: 'The supply is not back yet.',
    testedSince: 'It has been tested since; its state is on its page.',
    retestAt: (at: string) => `The retest is planned for ${at}.`,
    retestOpen: 'The retest is being planned.',
    silent: 'What became of it is not known: the controller is silent.',
    held: (held: string) => `Done: ${held}.`,
    onHold: 'on hold',
    notHeld: 'Not on hold yet.',
    stillHeld: 'Still on hold.',
    done: (sentence: string) => `Done. ${sentence}`,
    notCleared: 'The fault is not cleared yet.',
    result: (text: string) => `Result: ${text}`,
    notShown: 'The log book does not show yet whether the controller took it.',
  },

  defects: {
    title: (failed: number, luminaires: number, circuits: number) => {
      const told = failed === 0 ? 'No open defect' : count(failed, 'open defect', 'open defects');
      const parts = [
        ...(luminaires > 0 ? [count(luminaires, 'luminaire', 'luminaires')] : []),
        ...(circuits > 0 ? [count(circuits, 'circuit', 'circuits')] : []),
      ];
      return parts.length === 0 ? told : `${told}, ${parts.join(' and ')} not proven`;
    },
    overdue: (n: number) => `${number(n)} overdue`,
    toRetest: (n: number) => `${number(n)} repaired and to be tested again`,
    ownerless: (n: number) => `${number(n)} without an owner`,
    open: 'Open',
    closed: 'Closed',
    retestDue: 'Retest due',
    notProven: 'Not proven',
    late: 'Overdue',
    closedRange: (from: number, to: number, all: number) =>
      `Closed, ${number(from)} to ${number(to)} of ${number(all)}`,
    newer: 'Newer',
    older: 'Older',
    forgotten: (n: number) => `${number(n)} older ones are in the log book only.`,
    openThenClosed: (days: number, day: string, entry: number) =>
      `Open for ${count(days, 'day', 'days')}, closed ${day} by the pass in entry ${entry}.`,
    nobodyKnows: 'Nobody knows since when.',
    openSince: (days: number, day: string) => `Open for ${count(days, 'day', 'days')}, since ${day}.`,
    notProvenSince: (days: number, day: string) =>
      `Not proven for ${count(days, 'day', 'days')}, since ${day}.`,
    notClosedSince: (days: number, day: string) =>
      `Not closed for ${count(days, 'day', 'days')}, since ${day}.`,
    fails: (n: number) => `${number(n)} tests have failed.`,
    cameBack: (n: number) => `Came back ${n === 1 ? 'once' : `${number(n)} times`} after it was closed.`,
    noDate: 'no date',
    overdueBy: (date: string, days: number) => `${date}, overdue by ${count(days, 'day', 'days')}`,
    repaired: 'repaired',
    ownerAndDate: 'Owner and date',
    of: (what: string) => ` of ${what}`,
    noTestNow: 'On site, no test now:',
    ready: (kind: string) => `Ready to retest now: start a ${kind}.`,
    sayFirst: 'Say first that you are working here.',
    owner: 'Owner',
    nobody: 'nobody yet',
    due: 'Due date',
    interim: 'Until then',
    noInterim: 'no interim measure entered',
    remark: 'Remark',
    lastRepair: 'Last repair',
    next: 'Next:',
    report: (luminaire: string) => `Report the repair of ${luminaire}`,
    whoSees: 'Who sees to it',
    protectedBy: 'Until then people are protected by',
    enter: 'Enter it',
    cancel: 'Cancel',
  },

  duties: {
    marks: { 'in order': 'In order', 'not in order': 'Not in order', 'not applicable': 'Does not apply' },
    intro: 'No test sees dirt, a hidden sign or a missing luminaire. People do.',
    overdueAndDue: (overdue: number, due: number) =>
      `${number(overdue)} ${form(overdue, 'duty is', 'duties are')} overdue, ${number(due)} due today.`,
    overdue: (n: number) => `${number(n)} ${form(n, 'duty is', 'duties are')} overdue.`,
    dueToday: (n: number) => `${number(n)} ${form(n, 'duty is', 'duties are')} due today.`,
    nothingDue: 'Nothing is due today.',
    done: 'done',
    today: 'due today',
    overdueSince: (days: number, date: string) => `overdue by ${count(days, 'day', 'days')}, was due ${date}`,
    dueIn: (days: number, date: string) => `due in ${count(days, 'day', 'days')}, ${date}`,
    dueOn: (date: string) => `due ${date}`,
    every: (every: string, by: string) => `${capital(every)}, by ${by}.`,
    last: (day: string, who: string) => `Last on ${day}, ${who}.`,
    never: 'Never entered.',
    left: (ids: string, more: number) =>
      `Still to see: ${ids}${more > 0 ? ` and ${number(more)} more` : ''}.`,
    enter: 'Enter',
    doneBy: (title: string, at: string, who: string) => `${title}, done ${at} by ${who}.`,
    refuses: 'The host refuses it:',
    sendAgain: 'Send it again',
    notTaken: 'Not taken yet:',
    all: 'All that was entered',
    remove: 'Remove it from this device',
    outgoing: 'Entries on this device',
    onDevice: 'On this device, not yet in the log book',
    nothingLost: 'Nothing is lost if you close the page.',
    whole: 'The whole building',
    area: (name: string) => `Area: ${name}`,
    circuit: (id: string, name: string) => `Circuit ${id}: ${name}`,
    unanswered: (n: number) => `${count(n, 'point has', 'points have')} no answer yet.`,
    sayWhat: (asked: string) => `Say what is not in order, or which luminaire: “${asked}”`,
    tooLong: (most: number, start: string) => `Use ${number(most)} characters or fewer: “${start}…”`,
    entryTooLong:
      'The entry is too long. Name fewer luminaires or use fewer words, or enter one part of the building after the other.',
    nameMissing: 'Type your name: the log book records who looked.',
    whenMissing: 'Give day and time at which it was done.',
    notYet: 'That time has not come yet.',
    notSo: (asked: string) => `this is not so: ${asked}`,
    doneNow: 'Done: now.',
    wasEarlier: 'It was earlier',
    whenDone: 'When it was done, in the building’s time',
    whichPart: 'Which part',
    restInOrder: 'All others are in order',
    anythingElse: 'Anything else',
    storing: 'Storing…',
    enterLog: 'Enter in the log book',
    offline: 'Without a connection it stays on this device, and is sent as soon as there is one.',
    written: 'Where this is written',
    practice: 'The points are common practice where the source does not list them.',
    takeAway: 'take away',
    whichLuminaires: 'Which luminaires',
    noneNamed: 'None named; choose…',
    oneMore: 'One more…',
    whatFound: 'What was found',
    found: 'Found by people, and not entered as in order since',
    foundBy: (who: string, day: string) => `Found by ${who}, since ${day}.`,
    cannotStore: (why: string) => `This device cannot store the entry: ${why}`,
    cannotRead: (why: string) => `What waits on this device cannot be read: ${why}`,
    strange: 'Something between this device and the host answers in its place.',
  },

  log: {
    filter: 'Filter',
    circuit: 'Circuit',
    allCircuits: 'All circuits',
    kind: 'Kind',
    allKinds: 'All kinds',
    record: 'Record',
    number: (n: number) => `no. ${n}`,
    hash: 'Hash',
    showOlder: 'Show older entries',
    marks: { pass: 'pass', fail: 'fail', void: 'void', alarm: 'alarm', note: 'note' },
    kinds: {
      failed: 'Failed test',
      result: 'Test result',
      intent: 'Test started',
      fault: 'Fault or alarm',
      cleared: 'Fault cleared',
      outage: 'Mains outage',
      supply: 'Supply alarm',
      charge: 'Charging',
      held: 'On hold',
      reminder: 'Still on hold',
      released: 'Hold released',
      overdue: 'Test overdue',
      order: 'Order at the controller',
      refused: 'Order refused',
      ordered: 'Order sent',
      answered: 'Order answered',
      kept: 'Kept apart',
      clock: 'Clock set',
      chip: 'Clock chip',
      start: 'Controller start',
      attended: 'Engineer working',
      baseline: 'Lamp currents accepted',
      repaired: 'Repair',
      defect: 'Who sees to a defect',
      inspection: 'Looked at by people',
      withdrawn: 'Entry withdrawn',
      site: 'Site changed',
      account: 'Account',
      listed: 'Luminaires of a circuit',
    },
    withdraw: {
      open: 'Entered by mistake? Withdraw it',
      of: (n: number) => `entry ${n}`,
      form: (n: number) => `Withdraw entry ${n}`,
      what: 'It stays in the log book as withdrawn. What it did ends: a repair owes no test, a look was not done.',
      why: 'Why',
      noWhy: 'Say why it is withdrawn.',
      send: 'Withdraw it',
      noAnswer: 'No answer from the host: load the page again to see whether the entry is withdrawn.',
    },
    brokenAt: (entry: number) => `Chain broken at entry ${entry}.`,
    broken: 'Chain broken.',
    keepFile: 'Keep the file unchanged and run “logbook verify” for all that is wrong.',
    checkedTo: (checked: number, all: number) => `Chain checked to entry ${checked} of ${all} so far`,
    restChecked: 'The rest is being checked.',
    validNone: 'Chain valid, no entries yet',
    valid: (range: string) => `Chain valid, ${range}`,
    checkedAt: (at: string) =>
      `Checked ${at}. Signatures and the file itself are checked by “logbook verify”.`,
    entry: (n: number) => `entry ${n}`,
    entries: (from: number, to: number) => `entries ${from} to ${to}`,
    notLooked: (before: number) => `Entries before ${before} have not been looked at.`,
    noneOfKind: 'No entries of this kind.',
    noneFound: 'None found.',
    shown: (n: number, range: string) => `Shown here: ${n}, ${range}.`,
    shownOf: (n: number, all: number, range: string) => `Shown here: ${n} of ${all}, ${range}.`,
    shownAll: (all: number) => `Shown here: all ${all}.`,
  },

  year: {
    brief: 'Function test',
    full: 'Duration test',
    limited: 'Limited duration test (2/3, not the full duration)',
    recharge: 'Still recharging next day',
    under: (hours: number) => `Exposure under ${hours} h`,
    between: (from: number, to: number) => `Exposure ${from} to ${to} h`,
    more: (hours: number) => `Exposure ${hours} h or more`,
    key: 'Key',
    nothing: (month: string) => `Nothing is planned in ${month}.`,
    previous: 'Previous',
    previousMonth: 'Previous month',
    next: 'Next',
    nextMonth: 'Next month',
    month: 'Month',
    plannedTo: (day: string, exposure: string) =>
      `Planned up to ${day}. Exposure ${exposure}: hours when people are in an area, times the share of its ` +
      'luminaires that are not ready.',
    calendar: 'Calendar of the plan',
    calendarMore: ': add this link to a calendar app to subscribe.',
    facts:
      'A night runs from noon to noon and is shown under the day it starts. Each test is shown at its first ' +
      'chance; if it cannot run then, it moves to a later night.',
    byMonth: 'Month by month',
    byNight: (month: string) => `${month}, night by night`,
    underTenth: `under ${number(0.1, 1)} h`,
    hours: (n: number) => `${number(n, 1)} h`,
    marks: {
      brief: 'function test',
      full: 'duration test',
      limited: 'limited duration test (2/3)',
      commissioning: 'commissioning test',
      recharge: 'recharging',
    },
    on: (mark: string, days: string) => `${mark} on ${days}`,
    row: (circuit: string, told: string) => `${circuit}: ${told}.`,
    rowNothing: 'nothing planned',
    inDark: ', in the dark',
    inDaylight: ', in daylight',
    exposure: (hours: string) => `Exposure ${hours}.`,
    fullAgain: (at: string) => `batteries full again ${at}`,
    rechargingAfter: (kind: string, full: string) => `recharging after its ${kind}, ${full}.`,
  },

  floor: {
    title: 'Floor plan',
    plans: 'Floor plans',
    states: 'States',
    trouble: 'Circuits in trouble',
    none: 'No floor plan',
    noneMore:
      'This building has none yet. Its site file can name pictures, and where each luminaire is on them.',
    noPlan: (id: string) => `This building has no floor plan ${id}`,
    onPlan: 'On the plan',
    notPlaced: 'Not placed',
    lamps: 'Luminaires on the plan',
    picture: (name: string) => `Plan: ${name}`,
    noPicture: 'The picture of this plan cannot be shown. The list is complete without it;',
    noPictureMore: 'says what is wrong with the picture.',
    words: (placed: number, missing: number) =>
      `${count(placed, 'luminaire', 'luminaires')} on the plan${missing === 0 ? '' : `, ${number(missing)} not placed`}.`,
    lamp: {
      fail: 'fail',
      'not known': 'not known',
      'retest due': 'retest due',
      'under test': 'under test',
      void: 'void',
      untested: 'untested',
      pass: 'pass',
    },
    inTest: 'in the test that is running',
    notTestedSince: 'repaired, and not tested since',
    neverHeard: 'its controller was never heard from',
    silent: (verdict: string) => `its controller is silent; last result: ${verdict}`,
  },

  placing: {
    start: 'Place luminaires',
    how: 'Choose a luminaire, then click its place on the plan.',
    which: 'Luminaire',
    choose: 'Choose one',
    changed:
      'Nothing was saved: the site file has been changed since you began to place. Save once more to put these places ' +
      'into it as it is now.',
    forFile: 'For the site file',
    toWrite: 'What to write at each luminaire there:',
    form: 'Save the places',
    saving: 'Saving…',
    save: (n: number) => `Save ${count(n, 'place', 'places')}`,
    spot: (across: number, down: number) => `${percent(across)} % across, ${percent(down)} % down`,
    notYet: 'not on the plan yet',
    noneChosen: 'No luminaire is chosen.',
    byKeys: (id: string) => `Move ${id} by the arrow keys`,
    takeOff: (id: string) => `Take ${id} off the plan`,
    stop: 'Stop placing',
    stopUnsaved: 'Stop without saving',
    unanswered:
      'No answer from the host, so it may or may not have been saved. Load the page again and look before you enter it once more.',
  },

  reports: {
    intro:
      'Every result of a period, what was late or missing, and what is broken: as a PDF to sign and file, or ' +
      'as a table.',
    label: 'Report',
    first: 'First day',
    last: 'Last day',
    paper: 'Paper',
    letter: 'US letter',
    making: 'Making it…',
    makePdf: 'Make the PDF',
    makeTable: 'Make the table',
    makeOwn: 'Its last twelve months as a PDF',
    made: (name: string) => `Made: ${name}`,
    giveDates: 'Give the first and the last day.',
    wrongOrder: 'The last day is before the first.',
  },

  labels: {
    title: 'Labels',
    intro: 'One for each luminaire, with a code that opens its page. Print at 100 %, not fitted to the page.',
    address: 'Address at which telephones open this page',
    ownMachine: 'This address opens on the machine of the host only, on no telephone.',
    sheet: 'Sheets',
    sheets: {
      'a4 3x8': 'A4, 24 labels of 70 × 37 mm',
      'a4 3x7': 'A4, 21 labels of 63.5 × 38.1 mm',
      'letter 2x5': 'US letter, 10 labels of 4 × 2 in',
    },
    make: 'Make the labels',
  },

  host: {
    silent: 'The host is not answering. Check that it is running and that this device is on its network.',
    nothingHere: 'The host has nothing under this address. Check the address.',
    failed: (status: number) => `The host could not answer (${status}). Try again in a moment.`,
    noAnswer:
      'No answer from the host, so the order may or may not have arrived. ' +
      'Watch the circuit; if the mains stays off, use the key switch.',
    noReport: 'The host has not answered. Check that it is running, and try again.',
    reportFailed: (status: number) => `The host could not make the report (${status}).`,
  },

  signIn: {
    title: 'Sign in',
    account: 'Account',
    password: 'Password',
    send: 'Sign in',
    sending: 'Signing in…',
    show: 'Show the password',
    haveCode: 'I have a one-time code',
    code: 'One-time code',
    newPassword: 'New password',
    rule: (least: number) =>
      `At least ${least} characters. Four or five unrelated words are easy to remember.`,
    choose: 'Save the password and sign in',
    first: 'First administrator',
    firstHow: 'The host printed a one-time code when it was started.',
    fullName: 'Full name, as in the log book',
    forgotten: 'Forgotten it? An administrator can give you a one-time code.',
    notice: 'Notice for everyone in the building',
    ended: 'Your session has ended; sign in again. Nothing that you entered is lost.',
    notRestored: (circuit: string) =>
      `The supply of ${circuit} was NOT restored. Sign in: the order is then given at once.`,
    waits: 'It waits on this device until you sign in.',
    enteredBy: (name: string) => `Entered by ${name}.`,
    onceMore: 'This takes the supply away. Give your password once more.',
    noAnswer: 'No answer from the host. Check that it is running, and try again.',
  },

  account: {
    is: (id: string, role: string) => `Account ${id}, ${role}.`,
    signOut: 'Sign out',
    everywhere: 'Sign out on every device',
    change: 'Change the password',
    old: 'Present password',
    others: 'Every other device is signed out by that.',
  },

  accounts: {
    none: 'There are no accounts yet: whoever reaches this page may do everything. Make one with "nightproof accounts add" on the host’s own machine.',
    notYours: 'Only an administrator sees the accounts.',
    roles: {
      viewer: 'viewer',
      electrician: 'electrician',
      'responsible person': 'responsible person',
      administrator: 'administrator',
    },
    states: { active: 'active', disabled: 'disabled', 'has no password yet': 'has no password yet' },
    role: 'Role',
    giveRole: 'Give this role',
    giveCode: 'End the password, give a one-time code',
    disable: 'Disable',
    enable: 'Enable',
    make: 'Make an account',
    short: 'Account, e.g. anna',
    codeFor: (id: string) => `One-time code for ${id}:`,
    codeOnce: 'It is shown only now, and is good for a week.',
  },

  site,

  /** Sentences of the host, as they are. */
  said: Object.fromEntries(SAID.map((sentence) => [sentence, sentence])) as Said,
};

/** Every word of the page; what a language must have. */
export type Words = typeof en;
