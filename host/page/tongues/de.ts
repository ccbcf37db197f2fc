// German. Terms as in DIN EN 50172 and DIN EN 62034, from memory: docs/glossary.md.

import { capital } from '../../words/capital';
import { saidOfSite } from './deSaidOfSite';
import { site } from './deSite';
import type { Words } from './en';
import { plurals } from './plurals';

const { count, form, number } = plurals('de-DE');
/** With a decimal only where there is one. */
const percent = (share: number) => number(share, share % 1 === 0 ? 0 : 1);

const NOT_ISOLATION =
  'Ein offenes Relais ist keine Freischaltung: vor der Arbeit die Spannungsfreiheit feststellen.';
const LIMITED = 'Teildauertest (2/3, nicht die volle Dauer)';

const circuits = (n: number) => count(n, 'Stromkreis', 'Stromkreise');
const lamps = (n: number) => count(n, 'Notleuchte', 'Notleuchten');
/** After "seit", "um" and "in". */
const days = (n: number) => count(n, 'Tag', 'Tagen');

export const de: Words = {
  lang: 'de',
  locale: 'de-DE',
  and: ' und ',
  or: ' oder ',

  frame: {
    language: 'Sprache',
    pages: 'Seiten',
    skip: 'Zum Inhalt',
    emergencyLighting: 'Notbeleuchtung',
    tonight: 'Heute Nacht',
    defects: 'Mängel',
    year: 'Jahr',
    duties: 'Pflichten',
    log: 'Prüfbuch',
    reports: 'Berichte',
    account: 'Konto',
    accounts: 'Konten',
    site: 'Gebäude',
    notice: 'Aushang',
    overdue: 'überfällig',
    circuit: (id) => `Stromkreis ${id}`,
    luminaire: (id) => `Notleuchte ${id}`,
    duty: (title) => `Pflicht ${title}`,
    notFound: 'Seite nicht gefunden',
    goHome: 'Zu „Heute Nacht“',
    loading: 'Wird geladen…',
    nothingYet: 'Noch nichts zu zeigen',
    stillTrying: 'Die Verbindung wird weiter versucht.',
    noCircuit: (id) => `Dieses Gebäude hat keinen Stromkreis ${id}`,
    noLuminaire: (id) => `Dieses Gebäude hat keine Notleuchte ${id}`,
    noDuty: (id) => `Dieses Gebäude hat keine Pflicht ${id}`,
    fast: (times) => `, läuft ${times}× so schnell`,
  },

  buildings: {
    all: 'Alle Gebäude',
    title: (n) => count(n, 'Gebäude', 'Gebäude'),
    words: {
      'not served': 'Nicht betreut',
      'in doubt': 'Prüfbuch zweifelhaft',
      'supply off': 'Versorgung aus',
      'supply not proven': 'Versorgung nicht erwiesen',
      fault: 'Störung des Steuergeräts',
      silent: 'Steuergerät stumm',
      defects: 'Mängel offen',
      testing: 'Test läuft',
      'not known': 'Nicht bekannt',
      'in order': 'In Ordnung',
    },
    building: 'Gebäude',
    state: 'Zustand',
    newest: 'Neuester Ausfall',
    off: 'Versorgung jetzt aus',
    next: 'Nächster Test',
    defects: 'Offene Mängel',
    silent: 'Stumme Steuergeräte',
    size: (n, luminaires) => `${circuits(n)}, ${lamps(luminaires)}`,
    none: 'Keine',
    unproven: (n) => `${number(n)} nicht erwiesen`,
    forTest: (n) => `${number(n)} für einen Test`,
    neverHeard: (n) => `${number(n)} nie gehört`,
    waiting: (n) =>
      `${count(n, 'Eintrag', 'Einträge')} auf diesem Gerät ${form(n, 'wartet', 'warten')}, bis die Seite des Gebäudes geöffnet wird.`,
    notYours: 'Es gibt kein Gebäude, das Sie sehen dürfen. Lassen Sie sich eine Rolle geben.',
  },

  banners: {
    notices: 'Hinweise',
    lost: 'Verbindung unterbrochen,',
    lostMore: (heard) => `${heard}. Was Sie sehen, kann veraltet sein. Die Verbindung wird weiter versucht.`,
    lastHeard: (at, age) => `zuletzt gehört um ${at} (${age})`,
    nothingHeard: 'noch nichts gehört',
    inDoubt: 'Das Prüfbuch ist zweifelhaft.',
    simulated: 'Simulierte Steuergeräte.',
    simulatedMore: 'Es wird keine wirkliche Notleuchte geprüft.',
    waiting: (n) => `${count(n, 'Eintrag wartet', 'Einträge warten')} auf die Verbindung.`,
    refused: (n) => `${count(n, 'Eintrag wurde', 'Einträge wurden')} abgelehnt.`,
    see: (n) => form(n, 'Ansehen', 'Alle ansehen'),
  },

  caution: {
    current: 'Der Lampenstrom zeigt, dass eine Lampe leuchtet; er ist keine Messung des Lichts.',
    checks: 'Sichtprüfung und Lichtmessung bleiben erforderlich.',
    relay: 'Ein offenes Relais ist keine Freischaltung.',
    dead: 'Vor der Arbeit die Spannungsfreiheit feststellen.',
    who: (responsible, rules, zone) =>
      `Verantwortlich für die Notbeleuchtung: ${responsible}. Regeln: ${rules}. Uhrzeiten: ${zone}.`,
  },

  root: {
    label: 'Wurzel des Prüfbuchs',
    code: 'Wurzel als Code',
    head: (origin, size, at) => `Prüfbuch ${origin}, bis Eintrag ${number(size)}, ${at}. Wurzel:`,
    key: 'Schlüssel:',
    keep:
      'Bewahren Sie dieses Blatt auf: damit kann jeder später zeigen, ob ein Eintrag verändert wurde ' +
      '(logbook verify --noted).',
    byHand: 'Wurzel gesehen und notiert von: ____________________ Datum: ____________',
  },

  notice: {
    title: 'Hinweis zur Notbeleuchtung',
    until: (end) => `bis ${end}`,
    furtherNotice: 'bis auf Weiteres',
    from: (start) => `von ${start} `,
    mayFail: (start, end) => `Die Notbeleuchtung funktioniert hier ${start}${end} möglicherweise nicht.`,
    someFailed: 'Einige Notleuchten funktionieren hier nicht.',
    notKnown: 'Es ist nicht bekannt, ob die Notbeleuchtung hier funktioniert.',
    someNotKnown: 'Es ist nicht bekannt, ob hier alle Notleuchten funktionieren.',
    titleMayFail: 'Die Notbeleuchtung funktioniert an einigen Stellen möglicherweise nicht',
    titleFailed: 'Einige Notleuchten funktionieren nicht',
    titleNotKnown: 'Es ist nicht bekannt, ob die Notbeleuchtung funktioniert',
    titleSomeNotKnown: 'Es ist nicht bekannt, ob alle Notleuchten funktionieren',
    titleNothing: 'Keine Batterie wird entladen oder geladen, und kein Test ist geplant',
    none: 'Es muss nichts ausgehängt werden.',
    leaveUp: (who) => `Diesen Hinweis hängen lassen, bis er abgenommen wird von: ${who}.`,
    takeDown: (at) => `Abnehmen nach ${at}.`,
    written: (building, at) => `${building}. Stand: ${at}.`,
    print: 'Drucken',
  },

  risk: {
    discharging: 'Auf Batterie',
    recharging: 'Lädt',
    planned: 'Geplant',
    notKnown: 'Nicht bekannt, ob alle Batterien voll sind',
    nothing: 'Keine Batterie wird entladen oder geladen',
    tonight: 'Heute Nacht werden Batterien nicht voll sein',
    now: 'Batterien nicht voll',
    toPrint: 'Hinweis zum Ausdrucken und Aushängen',
  },

  kinds: {
    '': '',
    brief: 'Funktionstest',
    full: 'Betriebsdauertest',
    limited: LIMITED,
    commissioning: 'Inbetriebnahmetest',
  },

  phases: {
    starting: 'Startet',
    charged: 'Geladen',
    recharging: 'Lädt',
    opening: 'Relais öffnet',
    brief: 'Funktionstest',
    full: 'Betriebsdauertest',
    limited: LIMITED,
    commissioning: 'Inbetriebnahmetest',
    restoring: 'Versorgung wird wiederhergestellt',
    outage: 'Netzausfall',
    held: 'Angehalten',
    fault: 'Störung der Prüfeinrichtung',
    neverHeard: 'Noch nie gehört',
    silent: 'Stumm',
  },

  verdicts: {
    pass: 'bestanden',
    fail: 'nicht bestanden',
    void: 'ungültig',
    open: 'wird geprüft',
    untested: 'ungeprüft',
  },
  counted: {
    pass: (n) => `${number(n)} bestanden`,
    fail: (n) => `${number(n)} nicht bestanden`,
    void: (n) => `${number(n)} ungültig`,
    open: (n) => `${number(n)} in Prüfung`,
    untested: (n) => `${number(n)} ungeprüft`,
  },
  glow: { lit: 'leuchtet', dim: 'schwach', dark: 'dunkel', none: 'kein Messwert' },
  tests: {
    due: 'geplant',
    running: 'läuft',
    pass: 'bestanden',
    fail: 'nicht bestanden',
    void: 'ungültig',
    stopped: 'beendet',
    'not run': 'nicht gelaufen',
    'not known': 'nicht bekannt',
  },
  modes: {
    'non-maintained': 'Bereitschaftsschaltung',
    maintained: 'Dauerschaltung',
    'switched maintained': 'geschaltete Dauerschaltung',
    combined: 'kombinierte Leuchte',
  },

  time: {
    secondsAgo: (n) => `vor ${number(n)} s`,
    minutesAgo: (n) => `vor ${number(n)} min`,
    hoursAgo: (n) => `vor ${number(n)} h`,
    daysAgo: (n) => `vor ${days(n)}`,
  },

  contact: {
    never: 'Noch nie gehört',
    silent: (at) => `Stumm seit ${at}`,
    late: (at) => `Verspätet, zuletzt gehört ${at}`,
    reporting: (at) => `Meldet sich, zuletzt gehört ${at}`,
    recharging: (until) => `Batterien laden bis ${until}`,
    cannotStart: (why) => `Ein Test kann nicht beginnen: ${why}`,
    held: (who, until) => `Angehalten von ${who} bis ${until}`,
    attended: (who, until) => `Elektrofachkraft arbeitet hier bis ${until}: ${who}`,
    willAttend: (who, from, until) => `Elektrofachkraft arbeitet hier von ${from} bis ${until}: ${who}`,
    notKnown: 'nicht bekannt',
    whenLastHeard: (word) => `nicht bekannt; zuletzt ${word}`,
    on: 'ein',
    off: 'aus',
    open: 'offen',
    closed: 'geschlossen',
    before: 'Versorgung vor dem Relais',
    after: 'Versorgung nach dem Relais',
    relay: 'Relais',
    controller: 'Steuergerät',
    senses: (after, relay) => `Versorgung nach dem Relais: ${after}. Relais: ${relay}.`,
  },

  headline: {
    noReports: 'Noch kein Steuergerät hat sich gemeldet.',
    nothingKnown: (n) => `Noch kein Steuergerät hat sich gemeldet: über ${circuits(n)} ist nichts bekannt.`,
    several: (n, told) => `${circuits(n)}: ${told}.`,
    one: (n, group) => `${n === 1 ? '' : 'Alle '}${circuits(n)} ${group}.`,
    groups: {
      onBattery: () => 'jetzt auf Batterie',
      fault: () => 'mit Störung der Prüfeinrichtung',
      outage: () => 'zurück nach Netzausfall',
      testing: () => 'im Test',
      recharging: () => 'beim Laden',
      held: () => 'angehalten',
      charged: () => 'geladen',
      notKnown: () => 'nicht bekannt',
    },
    nothing: 'Nichts erfordert Aufmerksamkeit.',
    attention: (luminaires, affected) => {
      const parts = [
        ...(luminaires > 0 ? [lamps(luminaires)] : []),
        ...(affected > 0 ? [circuits(affected)] : []),
      ];
      return `Aufmerksamkeit nötig: ${parts.join(' und ')}.`;
    },
    tally: (n, parts) => (parts === '' ? `${lamps(n)}.` : `${lamps(n)}: ${parts}.`),
  },

  tonight: {
    running: 'Läuft gerade',
    building: 'Das Gebäude',
    title: 'Tests heute Nacht',
    titleOf: (from, to) => `Tests heute Nacht: ${from} bis ${to}`,
    next: (from, to) => `Nächste Testnacht: ${from} bis ${to}`,
    nonePlanned: 'Keine Tests geplant.',
    window: 'Zeitfenster',
    circuit: 'Stromkreis',
    test: 'Test',
    state: 'Zustand',
    notPassed: (circuit) => `Notleuchten von ${circuit}, die nicht bestanden haben`,
    passed: (n, isRest) =>
      isRest
        ? `${count(n, 'andere Notleuchte hat', 'andere Notleuchten haben')} bestanden.`
        : `${count(n, 'Notleuchte hat', 'Notleuchten haben')} bestanden.`,
  },

  attention: {
    title: 'Aufmerksamkeit nötig',
    next: 'Nächster Schritt:',
    allDefects: 'Alle Mängel: wer sich kümmert, und bis wann',
    since: (at) => `Seit ${at}`,
    sinceDays: (day, n) => `Seit ${day}, ${count(n, 'Tag', 'Tage')}`,
    neverHeard: 'Steuergerät noch nie gehört',
    notHeard: 'Steuergerät seit dem Start des Hosts nicht gehört',
    neverHeardNext: 'Versorgung und Netzwerk prüfen, und ob es für diesen Stromkreis eingerichtet wurde.',
    silent: 'Steuergerät stumm',
    silentNext: 'Versorgung und Netzwerk des Steuergeräts prüfen; nachsehen, ob das Netz da ist.',
    outage: 'Netzausfall',
    outageNext: 'Feststellen, warum das Netz fehlt.',
    fault: 'Störung der Prüfeinrichtung',
    faultNext:
      'Die Prüfeinrichtung ansehen: Relais, Sensoren, Leitungen. Nach der Reparatur die Störung quittieren.',
    unconfirmed: 'Versorgung nicht bestätigt',
    unconfirmedNext: 'Jetzt hingehen und die Versorgung von Hand wiederherstellen.',
    failed: 'Notleuchte nicht bestanden',
    failedNext: 'Reparieren, dann die Reparatur auf ihrer Seite melden.',
    retestOpen: 'Repariert; der Nachtest wird geplant.',
    retestAt: (at) => `Repariert; den Nachtest abwarten: ${at}.`,
    stopped: 'Test beendet',
    stoppers: {
      order: 'jemandem',
      'key switch': 'dem Schlüsselschalter',
      'stop input': 'Brandmeldung oder Stopp-Eingang',
    },
    stoppedBy: (kind, who, unjudged, luminaires) =>
      `${kind}: beendet von ${who}. ${unjudged === luminaires ? 'Nichts wurde beurteilt.' : `${number(unjudged)} von ${count(luminaires, 'Notleuchte', 'Notleuchten')} nicht beurteilt.`}`,
    againAt: (at) => `Er wird wiederholt: ${at}.`,
    againOpen: 'Der nächste Versuch wird geplant.',
    overdue: (n) => count(n, 'Test überfällig', 'Tests überfällig'),
    overdueMore: 'Keiner seiner geplanten Versuche ergab ein Urteil.',
    overdueNext:
      'Auf seiner Seite steht, worauf er wartet; oder den Test starten, während dort jemand arbeitet.',
    held: 'Tests noch immer angehalten',
    heldNext: 'Die Tests freigeben, sobald die Arbeit beendet ist.',
    anew: 'Steuergerät begann mit leerem Speicher',
    anewMore:
      'Sein Speicher wurde gelöscht, oder es wurde ersetzt. Was es noch nicht gesendet hatte, ist verloren; ' +
      'Einstellungen und Plan werden von selbst neu gesendet.',
    anewNext:
      'Wenn es niemand ersetzt hat, nachsehen lassen. Wird bis zum nächsten vollendeten Test angezeigt.',
    fullOverdue: 'Betriebsdauertest überfällig',
    fullOverdueMore:
      'Der letzte Betriebsdauertest liegt länger zurück, als die Regeln erlauben. Teildauertests zählen nicht.',
    fullOverdueNext:
      'Einen Betriebsdauertest starten, während dort jemand arbeitet, oder die Zeitfenster erweitern lassen.',
    neverFull: 'Noch nie ein Betriebsdauertest',
    neverFullMore: 'Die Regeln verlangen den ersten Betriebsdauertest in derselben Frist wie die folgenden.',
    duties: (n) => count(n, 'Pflicht überfällig', 'Pflichten überfällig'),
    longest: (duty) => `Am längsten: ${duty}.`,
    dutiesNext: 'Erledigen oder erledigen lassen und eintragen.',
    dutiesUnknown: 'Pflichten nicht bekannt',
    dutiesUnknownMore: 'Der Host hat nicht gesagt, was zu prüfen ist.',
    dutiesUnknownNext: 'Abwarten: Er wird von selbst wieder gefragt. Dauert es an, den Host prüfen.',
    findings: (n) => count(n, 'Befund nicht behoben', 'Befunde nicht behoben'),
    oldest: (finding) => `Der älteste: ${finding}.`,
    findingsNext: 'Beheben lassen, dann als in Ordnung eintragen.',
    failedFull: 'hat den letzten Betriebsdauertest nicht bestanden',
    litFor: (length) => `, leuchtete ${length}`,
  },

  circuit: {
    luminaires: 'Notleuchten',
    luminaire: 'Notleuchte',
    place: 'Ort',
    mode: 'Schaltungsart',
    state: 'Zustand',
    lastProven: 'Letzter Nachweis',
    lastAttempt: 'Letzter Versuch',
    lastFull: 'Letzter Betriebsdauertest',
    facts: (floor, areas, rated) => `${floor}. Bereiche: ${areas}. Bemessungsbetriebsdauer ${rated}.`,
    shared:
      'Das Relais schaltet auch die allgemeine Beleuchtung ab und öffnet daher nur, wenn der Bereich leer ist.',
    lastFullOn: (last, due) =>
      `Der letzte Betriebsdauertest war am ${last}; der nächste ist fällig bis ${due}.`,
    noFull: 'Kein Betriebsdauertest ist verzeichnet.',
    limited: 'Hier sind Teildauertests (2/3) geplant, weil immer Menschen anwesend sind.',
    limitedMore:
      'Der Betriebsdauertest bleibt fällig, wenn die örtliche Regel den Teildauertest nicht anerkennt.',
    orders: 'Befehle',
    now: 'Jetzt',
    log: 'Prüfbuch dieses Stromkreises',
  },

  running: {
    label: (circuit) => `Laufender Test ${circuit}`,
    notStarted: 'Noch nicht begonnen',
    of: (length) => `von ${length}`,
    soFar: (circuit) => `Test von ${circuit} bisher`,
    lamps: 'Notleuchten im Test',
    lampsOf: (circuit) => `Notleuchten von ${circuit} im Test`,
    curve: (lines, failed) =>
      `Lampenströme bisher, in Prozent des Inbetriebnahmewerts, ${number(lines)} Linien, davon nicht bestanden: ${number(failed)}`,
    caption: (floor) =>
      'Lampenstrom während des Tests, seit diese Seite geöffnet wurde. Dünne Linie: 100 % des ' +
      `Inbetriebnahmestroms. Gestrichelte Linie: ${number(floor)} %, ab hier gilt eine Lampe als leuchtend.`,
    restoring: 'Versorgung wird wiederhergestellt…',
    tryRestore: 'Wiederherstellen versuchen',
    hostLost:
      'Kein Kontakt zum Host: Drücken bewirkt vielleicht nichts. Am Schlüsselschalter des Stromkreises den Schlüssel 5 s ' +
      'drehen und zurückdrehen: Der Test endet, die Versorgung ist wieder da.',
  },

  lamp: {
    nothingYet: 'noch nichts',
    noneYet: 'noch keiner',
    same: 'derselbe',
    lit: (verdict, length, at) => `${verdict}, leuchtete ${length}, ${at}`,
  },

  luminaire: {
    more: (mode, rated, chemistry, fitted) =>
      `${mode}. Bemessungsbetriebsdauer ${rated}. Batterie ${chemistry}, eingebaut ${fitted}.`,
    state: 'Zustand',
    lasts: (proven, attempt) => `Letzter Nachweis: ${proven}. Letzter Versuch: ${attempt}`,
    diagnosis: 'Diagnose:',
    outlook: 'Aussicht der Batterie:',
    notTested: 'Seit der Reparatur nicht geprüft:',
    curves: 'Entladekurven, Jahr für Jahr',
    noCurve: 'Noch kein Betriebsdauertest hat eine Kurve aufgezeichnet.',
    curvesLabel: (n, minutes) =>
      `Entladekurven von ${count(n, 'Betriebsdauertest', 'Betriebsdauertests')}, Bemessungsbetriebsdauer ${number(minutes)} Minuten; unten beschrieben`,
    litFor: (length) => `leuchtete ${length}`,
    litToEnd: 'leuchtete bis zum Ende',
    below: (floor, length) => `unter ${number(floor)} % nach etwa ${length}`,
    curveKey: (day, lit, bound) => `${day}: ${lit}, Kurve auf ± ${number(bound)} % genau`,
    minimum: (floor) => `Mindestwert, ${number(floor)} %`,
    rated: (minutes) => `Bemessung ${number(minutes)} min`,
    minutes: 'Minuten auf Batterie',
    percent: '% des Inbetriebnahmestroms',
    results: 'Ergebnisse',
    noResults: 'Noch nicht geprüft.',
    when: 'Wann',
    test: 'Test',
    verdict: 'Urteil',
    lit: 'Leuchtete',
    at5: 'bei 5 s',
    at60: 'bei 60 s',
    atEnd: 'am Ende',
    entry: 'Eintrag',
    baseline: 'Inbetriebnahmestrom',
    onBattery: (battery) => `${number(battery)} mA auf Batterie`,
    onBoth: (battery, mains) => `${number(battery)} mA auf Batterie, ${number(mains)} mA am Netz`,
    judged: 'Beurteilt gegen',
    fromSite: ', aus der Anlagendatei.',
    expected: ', aus der Anlagendatei; nur erwartet, niemand hat ihn gemessen.',
    acceptedBy: (who, day, site) => `, übernommen von ${who} am ${day} (Anlagendatei: ${site}).`,
    measured: (day, currents) => `Gemessen im letzten vollendeten Test, ${day}: ${currents}.`,
    notMeasured: 'Noch kein vollendeter Test hat ihn gemessen.',
    cannotAccept: 'Diese Werte können nicht übernommen werden.',
    defects: (n) => form(n, 'Mangel', 'Mängel'),
  },

  orders: {
    sending: 'Wird gesendet…',
    choose: 'Bitte wählen…',
    yourName: 'Ihr Name',
    dismiss: 'Ausblenden',
    nameMissing: 'Geben Sie Ihren Namen an: das Prüfbuch hält fest, wer den Befehl gab.',
    nameLong: (most) => `Höchstens ${number(most)} Zeichen verwenden.`,
    nameLetters: 'Buchstaben, Ziffern und Satzzeichen verwenden: kein " oder \\, keine unsichtbaren Zeichen.',
    forHowLong: 'Wie lange',
    howMuch: 'Um wie viel',
    whichTest: 'Welcher Test',
    chooseTest: 'Wählen Sie, welcher Test.',
    whatDone: 'Was wurde getan',
    chooseDone: 'Wählen Sie, was getan wurde: davon hängt ab, welcher Test folgt.',
    hours: (n) => count(n, 'Stunde', 'Stunden'),
    days: (n) => count(n, 'Tag', 'Tage'),
    minutes: (n) => count(n, 'Minute', 'Minuten'),
    parts: {
      battery: 'Batterie gewechselt',
      lamp: 'Lampe gewechselt',
      'driver or charger': 'Betriebsgerät oder Ladegerät gewechselt',
      'whole luminaire': 'Ganze Notleuchte gewechselt',
      other: 'Etwas anderes, etwa ein loser Kontakt',
    },
    cost: (off, recharge) =>
      `Die Versorgung ist ${off} abgeschaltet, danach laden die Batterien ${recharge}.`,
    notIsolation: NOT_ISOLATION,
    restore: {
      button: 'Versorgung jetzt wiederherstellen',
      consequence: 'Die Versorgung kommt jetzt zurück. Dieser Test ist ungültig und wird wiederholt.',
      yes: 'Ja, Versorgung jetzt wiederherstellen',
      no: 'Nein, Test weiterlaufen lassen',
    },
    'clear fault': {
      button: 'Störung quittieren',
      consequence:
        'Nur wenn Relais und Leitungen repariert und nachgewiesen in Ordnung sind: das Steuergerät beginnt danach ' +
        'von selbst wieder Tests und schaltet die Versorgung ab.',
      yes: 'Ja, repariert: quittieren',
      no: 'Nein, Störung belassen',
    },
    hold: {
      button: 'Tests anhalten',
      consequence:
        'In diesem Stromkreis beginnt kein Test, bis die Zeit abgelaufen ist oder die Tests freigegeben werden. ' +
        'Ein laufender Test endet jetzt und ist ungültig.',
      yes: 'Ja, Tests anhalten',
      no: 'Nein, weiter testen',
    },
    release: {
      button: 'Tests freigeben',
      consequence:
        'Nur wenn die Arbeit beendet ist: im Zeitfenster beginnen Tests wieder von selbst und schalten die ' +
        'Versorgung ab.',
      yes: 'Ja, Tests freigeben',
      no: 'Nein, angehalten lassen',
    },
    test: {
      button: 'Jetzt einen Test starten',
      consequence:
        'Die Versorgung dieser Notleuchten wird abgeschaltet, sobald das Steuergerät es zulässt. Lehnt es ab, ' +
        'sagt es warum.',
      yes: 'Ja, Test starten',
      no: 'Nein, abbrechen',
    },
    extend: {
      button: 'Für Rundgang verlängern',
      consequence:
        'Die Versorgung bleibt länger abgeschaltet, und die Batterien müssen danach voll geladen werden.',
      yes: 'Ja, Test verlängern',
      no: 'Nein, enden wie geplant',
    },
    attend: {
      button: 'Ich arbeite hier',
      consequence:
        'Tests dieses Stromkreises können jetzt auf Befehl gestartet werden, auch am Tag, aber nur an seinen ' +
        'eigenen Tagen: benachbarte Stromkreise werden nie zusammen geprüft.',
      yes: 'Ja, ich arbeite hier',
      no: 'Nein, abbrechen',
    },
    acceptAll: {
      button: 'Alle gemessenen Ströme übernehmen',
      consequence:
        'Von nun an werden die Notleuchten dieses Stromkreises gegen die gemessenen Ströme beurteilt. Sehen Sie jede zuerst an: ' +
        'Sie muss hell, sauber und unbeschädigt sein. Ist eine schwache Lampe einmal übernommen, wird sie nie gemeldet.',
      yes: 'Ja, alle übernehmen',
      no: 'Nein, so lassen',
    },
    accept: {
      button: 'Gemessene Ströme übernehmen',
      consequence:
        'Von nun an wird diese Notleuchte gegen die gemessenen Ströme beurteilt. Sehen Sie sie zuerst an: sie muss ' +
        'hell, sauber und unbeschädigt sein. Ist eine schwache Lampe einmal übernommen, wird sie nie gemeldet.',
      yes: 'Ja, übernehmen',
      no: 'Nein, so lassen',
    },
    repaired: {
      button: 'Reparatur melden',
      consequence:
        'Nur wenn die Arbeit beendet ist: die Reparatur kommt ins Prüfbuch, und die Notleuchte wird im Zeitfenster ' +
        'erneut geprüft, wobei die Versorgung ihres Stromkreises abgeschaltet wird. Nur ein bestandener Test hebt ' +
        'den Mangel auf.',
      yes: 'Ja, Reparatur melden',
      no: 'Nein, noch nicht',
    },
    leave: {
      button: 'Ich gehe',
      consequence: 'Außerhalb des Zeitfensters können keine Tests mehr auf Befehl gestartet werden.',
      yes: 'Ja, ich gehe',
      no: 'Nein, noch hier',
    },
  },

  progress: {
    accepted: 'Befehl angenommen.',
    notAccepted: 'Befehl nicht angenommen.',
    recorded: 'Reparatur eingetragen.',
    notRecorded: 'Reparatur nicht eingetragen.',
    noAnswer: 'keine Antwort auf den Befehl.',
    soFar: (sentence) => `Bisher: ${sentence}`,
    waiting: (why) => `Wartet: ${why}`,
    waitingResult: 'Das Ergebnis steht noch aus.',
    waitingSupply: 'die Versorgung kommt gleich zurück, bitte warten…',
    back: 'die Versorgung ist wieder da.',
    alreadyBack: 'die Versorgung ist schon wieder da.',
    restored: 'die Versorgung wurde wiederhergestellt.',
    notBack: 'die Versorgung ist NICHT wieder da.',
    waitingTest: 'Das Ergebnis des Tests steht noch aus.',
    stopped: (who, at) => `${who} hat den Test um ${at} beendet.`,
    nothingJudged: 'Nichts wurde beurteilt.',
    again: 'Der Test wird wiederholt.',
    againAt: (at) => `Der Test wird wiederholt: ${at}.`,
    testedSince: 'Sie wurde seither geprüft; ihr Zustand steht auf ihrer Seite.',
    retestAt: (at) => `Der Nachtest ist geplant für ${at}.`,
    retestOpen: 'Der Nachtest wird geplant.',
    silent: 'Was daraus wurde, ist nicht bekannt: das Steuergerät ist stumm.',
    held: (held) => `Erledigt: ${held}.`,
    onHold: 'angehalten',
    notHeld: 'Noch nicht angehalten.',
    stillHeld: 'Noch immer angehalten.',
    done: (sentence) => `Erledigt. ${sentence}`,
    notCleared: 'Die Störung ist noch nicht quittiert.',
    result: (text) => `Ergebnis: ${text}`,
    notShown: 'Das Prüfbuch zeigt noch nicht, ob das Steuergerät den Befehl annahm.',
  },

  defects: {
    title: (n, lamps, unproven) => {
      const told = n === 0 ? 'Kein offener Mangel' : count(n, 'offener Mangel', 'offene Mängel');
      const parts = [
        ...(lamps > 0 ? [count(lamps, 'Notleuchte', 'Notleuchten')] : []),
        ...(unproven > 0 ? [circuits(unproven)] : []),
      ];
      return parts.length === 0 ? told : `${told}, ${parts.join(' und ')} nicht nachgewiesen`;
    },
    overdue: (n) => `${number(n)} überfällig`,
    toRetest: (n) => `${number(n)} repariert und erneut zu prüfen`,
    ownerless: (n) => `${number(n)} ohne Zuständige`,
    open: 'Offen',
    closed: 'Behoben',
    retestDue: 'Nachtest fällig',
    notProven: 'Nicht nachgewiesen',
    late: 'Überfällig',
    more: (n) => `${number(n)} weitere zeigen`,
    all: (n) => `Alle ${number(n)} zeigen`,
    closedRange: (from, to, all) => `Behoben, ${number(from)} bis ${number(to)} von ${number(all)}`,
    newer: 'Neuere',
    older: 'Ältere',
    forgotten: (n) => `${count(n, 'älterer steht', 'ältere stehen')} nur im Prüfbuch.`,
    openThenClosed: (n, day, entry) =>
      `War ${count(n, 'Tag', 'Tage')} offen, behoben am ${day} durch den bestandenen Test in Eintrag ${entry}.`,
    nobodyKnows: 'Niemand weiß, seit wann.',
    openSince: (n, day) => `Offen seit ${days(n)}, seit ${day}.`,
    notProvenSince: (n, day) => `Nicht nachgewiesen seit ${days(n)}, seit ${day}.`,
    notClosedSince: (n, day) => `Nicht behoben seit ${days(n)}, seit ${day}.`,
    fails: (n) => `${number(n)} Tests nicht bestanden.`,
    cameBack: (n) => `Kam ${n === 1 ? 'einmal' : `${number(n)}-mal`} wieder, nachdem er behoben war.`,
    noDate: 'kein Datum',
    overdueBy: (date, n) => `${date}, überfällig seit ${days(n)}`,
    repaired: 'repariert',
    ownerAndDate: 'Zuständige und Datum',
    of: (what) => ` von ${what}`,
    noTestNow: 'Vor Ort, jetzt kein Test:',
    ready: (kind) => `Bereit zum Nachtest: jetzt starten: ${kind}.`,
    sayFirst: 'Melden Sie zuerst, dass Sie hier arbeiten.',
    owner: 'Zuständig',
    nobody: 'noch niemand',
    due: 'Fällig am',
    interim: 'Bis dahin',
    noInterim: 'keine Ersatzmaßnahme eingetragen',
    remark: 'Bemerkung',
    lastRepair: 'Letzte Reparatur',
    next: 'Nächster Schritt:',
    report: (luminaire) => `Reparatur von ${luminaire} melden`,
    whoSees: 'Wer sich kümmert',
    protectedBy: 'Bis dahin sind Menschen geschützt durch',
    enter: 'Eintragen',
    cancel: 'Abbrechen',
  },

  duties: {
    marks: {
      'in order': 'In Ordnung',
      'not in order': 'Nicht in Ordnung',
      'not applicable': 'Trifft nicht zu',
    },
    intro:
      'Kein Test sieht Schmutz, ein verdecktes Zeichen oder eine fehlende Notleuchte. Menschen sehen sie.',
    overdueAndDue: (overdue, due) =>
      `${count(overdue, 'Pflicht ist', 'Pflichten sind')} überfällig, ${number(due)} heute fällig.`,
    overdue: (n) => `${count(n, 'Pflicht ist', 'Pflichten sind')} überfällig.`,
    dueToday: (n) => `${count(n, 'Pflicht ist', 'Pflichten sind')} heute fällig.`,
    nothingDue: 'Heute ist nichts fällig.',
    done: 'erledigt',
    today: 'heute fällig',
    overdueSince: (n, date) => `überfällig seit ${days(n)}, war fällig ${date}`,
    dueIn: (n, date) => `fällig in ${days(n)}, ${date}`,
    dueOn: (date) => `fällig ${date}`,
    every: (every, by) => `${capital(every)}, durch ${by}.`,
    last: (day, who) => `Zuletzt am ${day}, ${who}.`,
    never: 'Noch nie eingetragen.',
    left: (ids, more) => `Noch anzusehen: ${ids}${more > 0 ? ` und ${number(more)} weitere` : ''}.`,
    enter: 'Eintragen',
    doneBy: (title, at, who) => `${title}, ausgeführt ${at} von ${who}.`,
    refuses: 'Der Host lehnt ihn ab:',
    sendAgain: 'Erneut senden',
    notTaken: 'Noch nicht übernommen:',
    all: 'Alles, was eingetragen wurde',
    remove: 'Von diesem Gerät entfernen',
    outgoing: 'Einträge auf diesem Gerät',
    onDevice: 'Auf diesem Gerät, noch nicht im Prüfbuch',
    nothingLost: 'Nichts geht verloren, wenn Sie die Seite schließen.',
    whole: 'Das ganze Gebäude',
    area: (name) => `Bereich: ${name}`,
    circuit: (id, name) => `Stromkreis ${id}: ${name}`,
    unanswered: (n) => `${count(n, 'Punkt ist', 'Punkte sind')} noch ohne Antwort.`,
    sayWhat: (asked) => `Sagen Sie, was nicht in Ordnung ist oder welche Notleuchte: „${asked}“`,
    tooLong: (most, start) => `Höchstens ${number(most)} Zeichen verwenden: „${start}…“`,
    entryTooLong:
      'Der Eintrag ist zu lang. Nennen Sie weniger Notleuchten, schreiben Sie kürzer, oder tragen Sie einen Teil des ' +
      'Gebäudes nach dem anderen ein.',
    nameMissing: 'Geben Sie Ihren Namen an: das Prüfbuch hält fest, wer nachgesehen hat.',
    whenMissing: 'Geben Sie Tag und Uhrzeit der Ausführung an.',
    notYet: 'Dieser Zeitpunkt liegt in der Zukunft.',
    notSo: (asked) => `nicht so: ${asked}`,
    doneNow: 'Ausgeführt: jetzt.',
    wasEarlier: 'Es war früher',
    whenDone: 'Wann ausgeführt, in der Uhrzeit des Gebäudes',
    whichPart: 'Welcher Teil',
    restInOrder: 'Alle anderen sind in Ordnung',
    anythingElse: 'Sonst noch etwas',
    storing: 'Wird gespeichert…',
    enterLog: 'Ins Prüfbuch eintragen',
    offline: 'Ohne Verbindung bleibt er auf diesem Gerät und wird gesendet, sobald es eine gibt.',
    written: 'Wo das steht',
    practice: 'Wo die Quelle keine Punkte nennt, sind sie übliche Praxis.',
    takeAway: 'entfernen',
    whichLuminaires: 'Welche Notleuchten',
    noneNamed: 'Keine genannt; bitte wählen…',
    oneMore: 'Noch eine…',
    whatFound: 'Was gefunden wurde',
    found: 'Von Menschen gefunden und seither nicht als in Ordnung eingetragen',
    foundBy: (who, day) => `Gefunden von ${who}, seit ${day}.`,
    cannotStore: (why) => `Dieses Gerät kann den Eintrag nicht speichern: ${why}`,
    cannotRead: (why) => `Was auf diesem Gerät wartet, kann nicht gelesen werden: ${why}`,
    strange: 'Etwas zwischen diesem Gerät und dem Host antwortet an dessen Stelle.',
  },

  log: {
    filter: 'Filter',
    circuit: 'Stromkreis',
    allCircuits: 'Alle Stromkreise',
    kind: 'Art',
    allKinds: 'Alle Arten',
    record: 'Datensatz',
    number: (n) => `Nr. ${n}`,
    hash: 'Hash',
    showOlder: 'Ältere Einträge zeigen',
    marks: {
      pass: 'bestanden',
      fail: 'nicht bestanden',
      void: 'ungültig',
      alarm: 'Alarm',
      note: 'Vermerk',
    },
    kinds: {
      failed: 'Nicht bestandener Test',
      result: 'Testergebnis',
      intent: 'Test begonnen',
      fault: 'Störung oder Alarm',
      cleared: 'Störung quittiert',
      outage: 'Netzausfall',
      supply: 'Alarm der Versorgung',
      charge: 'Ladung',
      held: 'Angehalten',
      reminder: 'Noch immer angehalten',
      released: 'Tests freigegeben',
      overdue: 'Test überfällig',
      order: 'Befehl am Steuergerät',
      refused: 'Befehl abgelehnt',
      ordered: 'Befehl gesendet',
      answered: 'Befehl beantwortet',
      kept: 'Beiseitegelegt',
      clock: 'Uhr gestellt',
      chip: 'Uhrenbaustein',
      start: 'Start des Steuergeräts',
      attended: 'Elektrofachkraft vor Ort',
      baseline: 'Lampenströme übernommen',
      repaired: 'Reparatur',
      defect: 'Wer sich um einen Mangel kümmert',
      inspection: 'Von Menschen angesehen',
      withdrawn: 'Eintrag zurückgezogen',
      site: 'Anlage geändert',
      account: 'Konto',
      listed: 'Notleuchten eines Stromkreises',
    },
    withdraw: {
      open: 'Versehentlich eingetragen? Zurückziehen',
      of: (n) => `Eintrag ${n}`,
      form: (n) => `Eintrag ${n} zurückziehen`,
      what:
        'Er bleibt als zurückgezogen im Prüfbuch. Was er bewirkt hat, endet: eine Reparatur schuldet keinen Test mehr, ' +
        'eine Begehung hat nicht stattgefunden.',
      why: 'Warum',
      noWhy: 'Sagen Sie, warum er zurückgezogen wird.',
      send: 'Zurückziehen',
      noAnswer:
        'Keine Antwort vom Host: laden Sie die Seite neu, um zu sehen, ob der Eintrag zurückgezogen ist.',
    },
    brokenAt: (entry) => `Kette unterbrochen bei Eintrag ${entry}.`,
    broken: 'Kette unterbrochen.',
    keepFile: 'Lassen Sie die Datei unverändert; „logbook verify“ nennt alles, was falsch ist.',
    checkedTo: (checked, all) => `Kette bisher geprüft bis Eintrag ${checked} von ${all}`,
    restChecked: 'Der Rest wird gerade geprüft.',
    validNone: 'Kette gültig, noch keine Einträge',
    valid: (range) => `Kette gültig, ${range}`,
    checkedAt: (at) => `Geprüft ${at}. Signaturen und die Datei selbst prüft „logbook verify“.`,
    entry: (n) => `Eintrag ${n}`,
    entries: (from, to) => `Einträge ${from} bis ${to}`,
    notLooked: (before) => `Einträge vor ${before} wurden nicht durchsucht.`,
    noneOfKind: 'Keine Einträge dieser Art.',
    noneFound: 'Keine gefunden.',
    shown: (n, range) => `Hier gezeigt: ${n}, ${range}.`,
    shownOf: (n, all, range) => `Hier gezeigt: ${n} von ${all}, ${range}.`,
    shownAll: (all) => `Hier gezeigt: alle ${all}.`,
  },

  year: {
    brief: 'Funktionstest',
    full: 'Betriebsdauertest',
    limited: LIMITED,
    recharge: 'Lädt am nächsten Tag noch',
    under: (hours) => `Risiko unter ${number(hours)} h`,
    between: (from, to) => `Risiko ${number(from)} bis ${number(to)} h`,
    more: (hours) => `Risiko ab ${number(hours)} h`,
    key: 'Legende',
    nothing: (month) => `Im ${month} ist nichts geplant.`,
    previous: 'Zurück',
    previousMonth: 'Voriger Monat',
    next: 'Weiter',
    nextMonth: 'Nächster Monat',
    month: 'Monat',
    plannedTo: (day, exposure) =>
      `Geplant bis ${day}. Risiko ${exposure}: Stunden, in denen Menschen in einem Bereich sind, mal dem Anteil ` +
      'seiner Notleuchten, die nicht bereit sind.',
    calendar: 'Kalender des Plans',
    calendarMore: ': diesen Link in einer Kalender-App abonnieren.',
    calendarToken:
      'Eine Kalender-App kann sich nicht anmelden: Ein Administrator legt unter Konten einen Schlüssel für sie an.',
    facts:
      'Eine Nacht dauert von Mittag bis Mittag und steht unter dem Tag, an dem sie beginnt. Jeder Test steht bei ' +
      'seiner ersten Gelegenheit; kann er dann nicht laufen, kommt er in einer späteren Nacht.',
    byMonth: 'Monat für Monat',
    byNight: (month) => `${month}, Nacht für Nacht`,
    underTenth: `unter ${number(0.1, 1)} h`,
    hours: (n) => `${number(n, 1)} h`,
    marks: {
      brief: 'Funktionstest',
      full: 'Betriebsdauertest',
      limited: 'Teildauertest (2/3)',
      commissioning: 'Inbetriebnahmetest',
      recharge: 'Ladung',
    },
    on: (mark, list) => `${mark} am ${list}`,
    row: (circuit, told) => `${circuit}: ${told}.`,
    rowNothing: 'nichts geplant',
    inDark: ', bei Dunkelheit',
    inDaylight: ', bei Tageslicht',
    exposure: (hours) => `Risiko ${hours}.`,
    fullAgain: (at) => `Batterien wieder voll ${at}`,
    rechargingAfter: (kind, full) => `lädt nach: ${kind}, ${full}.`,
  },

  floor: {
    title: 'Grundriss',
    plans: 'Grundrisse',
    states: 'Zustände',
    trouble: 'Stromkreise mit Problemen',
    none: 'Kein Grundriss',
    noneMore:
      'Dieses Gebäude hat noch keinen. Seine Anlagendatei kann Bilder nennen, und wo jede Notleuchte darauf ist.',
    noPlan: (id) => `Dieses Gebäude hat keinen Grundriss ${id}`,
    onPlan: 'Auf dem Grundriss',
    notPlaced: 'Nicht eingezeichnet',
    lamps: 'Notleuchten auf dem Grundriss',
    picture: (name) => `Grundriss: ${name}`,
    noPicture: 'Das Bild dieses Grundrisses kann nicht gezeigt werden. Die Liste ist ohne es vollständig;',
    noPictureMore: 'sagt, was an dem Bild falsch ist.',
    words: (placed, missing) =>
      `${lamps(placed)} auf dem Grundriss${missing === 0 ? '' : `, ${number(missing)} nicht eingezeichnet`}.`,
    lamp: {
      fail: 'nicht bestanden',
      'not known': 'nicht bekannt',
      'retest due': 'Nachtest fällig',
      'under test': 'wird geprüft',
      void: 'ungültig',
      untested: 'ungeprüft',
      pass: 'bestanden',
    },
    inTest: 'in dem Test, der gerade läuft',
    notTestedSince: 'repariert und seither nicht geprüft',
    neverHeard: 'ihr Steuergerät wurde noch nie gehört',
    silent: (verdict) => `ihr Steuergerät ist stumm; letztes Ergebnis: ${verdict}`,
  },

  placing: {
    start: 'Notleuchten einzeichnen',
    how: 'Wählen Sie eine Notleuchte und klicken Sie dann auf ihren Ort im Grundriss.',
    which: 'Notleuchte',
    choose: 'Bitte eine wählen',
    changed:
      'Nichts wurde gespeichert: die Anlagendatei wurde geändert, seit Sie begonnen haben. Speichern Sie noch einmal, ' +
      'um diese Orte in die jetzige Datei zu übernehmen.',
    forFile: 'Für die Anlagendatei',
    toWrite: 'Was dort bei jeder Notleuchte zu schreiben ist:',
    form: 'Orte speichern',
    saving: 'Wird gespeichert…',
    save: (n) => `${count(n, 'Ort', 'Orte')} speichern`,
    spot: (across, down) => `${percent(across)} % von links, ${percent(down)} % von oben`,
    notYet: 'noch nicht eingezeichnet',
    noneChosen: 'Keine Notleuchte ist gewählt.',
    byKeys: (id) => `${id} mit den Pfeiltasten bewegen`,
    takeOff: (id) => `${id} vom Grundriss nehmen`,
    stop: 'Einzeichnen beenden',
    stopUnsaved: 'Beenden ohne zu speichern',
    unanswered:
      'Keine Antwort vom Host; es wurde vielleicht gespeichert, vielleicht nicht. Laden Sie die Seite neu und sehen Sie ' +
      'nach, bevor Sie es noch einmal eingeben.',
  },

  reports: {
    intro:
      'Jedes Ergebnis eines Zeitraums, was verspätet war oder fehlt und was defekt ist: als Prüfprotokoll zum ' +
      'Drucken, Unterschreiben und Ablegen (PDF), oder als Tabelle. Berichte sind in englischer Sprache.',
    label: 'Bericht',
    first: 'Erster Tag',
    last: 'Letzter Tag',
    paper: 'Papier',
    letter: 'US Letter',
    making: 'Wird erstellt…',
    makePdf: 'Prüfprotokoll erstellen (PDF)',
    makeTable: 'Tabelle erstellen',
    makeOwn: 'Ihre letzten zwölf Monate als PDF',
    made: (name) => `Erstellt: ${name}`,
    giveDates: 'Geben Sie den ersten und den letzten Tag an.',
    wrongOrder: 'Der letzte Tag liegt vor dem ersten.',
  },

  labels: {
    title: 'Etiketten',
    intro:
      'Eine für jede Notleuchte, mit einem Code, der ihre Seite öffnet. Mit 100 % drucken, nicht an die Seite angepasst. ' +
      'Etiketten sind in englischer Sprache.',
    address: 'Adresse, unter der Telefone diese Seite öffnen',
    ownMachine: 'Diese Adresse öffnet nur der Rechner des Hosts, kein Telefon.',
    sheet: 'Bögen',
    sheets: {
      'a4 3x8': 'A4, 24 Etiketten von 70 × 37 mm',
      'a4 3x7': 'A4, 21 Etiketten von 63,5 × 38,1 mm',
      'letter 2x5': 'US Letter, 10 Etiketten von 4 × 2 Zoll',
    },
    make: 'Etiketten erstellen',
  },

  host: {
    silent: 'Der Host antwortet nicht. Prüfen Sie, ob er läuft und ob dieses Gerät in seinem Netzwerk ist.',
    nothingHere: 'Der Host hat unter dieser Adresse nichts. Prüfen Sie die Adresse.',
    failed: (status) => `Der Host konnte nicht antworten (${status}). Versuchen Sie es gleich noch einmal.`,
    noAnswer:
      'Keine Antwort vom Host; der Befehl ist vielleicht angekommen, vielleicht nicht. Beobachten Sie den ' +
      'Stromkreis; bleibt die Versorgung aus, benutzen Sie den Schlüsselschalter.',
    noReport: 'Der Host hat nicht geantwortet. Prüfen Sie, ob er läuft, und versuchen Sie es noch einmal.',
    reportFailed: (status) => `Der Host konnte den Bericht nicht erstellen (${status}).`,
  },

  signIn: {
    stranger: (id) => `Sie sind als ${id} angemeldet und haben in diesem Gebäude keine Rolle.`,
    title: 'Anmelden',
    account: 'Konto',
    password: 'Passwort',
    send: 'Anmelden',
    sending: 'Meldet an…',
    show: 'Passwort zeigen',
    haveCode: 'Ich habe einen Einmalcode',
    code: 'Einmalcode',
    newPassword: 'Neues Passwort',
    rule: (least) =>
      `${least} Zeichen oder mehr. Nicht Ihr Name oder der des Gebäudes. Vier zufällige Wörter sind in Ordnung.`,
    choose: 'Passwort speichern und anmelden',
    first: 'Ihr Konto anlegen (das erste)',
    firstHow:
      'Der Code steht auf dem Bildschirm des Hosts. Kleine Buchstaben sind in Ordnung, Striche nicht nötig.',
    firstAccount: 'Konto, ein kurzer eigener Name, z. B. mick',
    fullName: 'Voller Name, wie im Prüfbuch',
    forgotten: 'Vergessen? Ein Administrator kann Ihnen einen Einmalcode geben.',
    forgottenByAll:
      'Sie sind der einzige Administrator? Erzeugen Sie sich am Rechner des Hosts, in seinem Ordner, einen Einmalcode:',
    forgottenSimulated:
      'Die Vorführung behält keine Konten: starten Sie sie am Rechner des Hosts neu, und nehmen Sie den Code, den sie ausgibt.',
    trust: 'Warnt der Browser? In einem Gebäude tun Sie zuerst dies.',
    trustHow: 'Wie man dieser Seite vertraut',
    notice: 'Aushang für alle im Gebäude',
    ended:
      'Ihre Sitzung ist zu Ende; melden Sie sich neu an. Nichts von dem, was Sie eingetragen haben, ist verloren.',
    gone: 'Hier gibt es kein Konto mehr: Legen Sie Ihres mit dem Code auf dem Bildschirm des Hosts an.',
    notRestored: (circuit) =>
      `Die Versorgung von ${circuit} wurde NICHT wiederhergestellt. Melden Sie sich an: Der Befehl wird dann sofort gegeben.`,
    waits: 'Er wartet auf diesem Gerät, bis Sie sich anmelden.',
    enteredBy: (name) => `Eingetragen von ${name}.`,
    onceMore: 'Das schaltet die Versorgung ab. Geben Sie Ihr Passwort noch einmal ein.',
    noAnswer: 'Der Host antwortet nicht. Prüfen Sie, ob er läuft, und versuchen Sie es noch einmal.',
  },

  account: {
    is: (id, role) => `Konto ${id}, ${role}.`,
    signOut: 'Abmelden',
    everywhere: 'Auf allen Geräten abmelden',
    change: 'Passwort ändern',
    old: 'Jetziges Passwort',
    others: 'Alle anderen Geräte werden dadurch abgemeldet.',
  },

  accounts: {
    noRole: 'Keine Rolle',
    none: 'Es gibt noch keine Konten: Wer diese Seite erreicht, darf alles. Legen Sie eines mit „nightproof accounts add“ auf dem Rechner des Hosts an.',
    notYours: 'Die Konten sieht nur ein Administrator.',
    roles: {
      viewer: 'liest nur',
      electrician: 'Elektrofachkraft',
      'responsible person': 'verantwortliche Person',
      administrator: 'Administrator',
    },
    states: { active: 'aktiv', disabled: 'gesperrt', 'has no password yet': 'noch ohne Passwort' },
    role: 'Rolle',
    giveRole: 'Diese Rolle geben',
    giveCode: 'Passwort beenden, Einmalcode geben',
    disable: 'Sperren',
    enable: 'Entsperren',
    make: 'Konto anlegen',
    short: 'Konto, z. B. anna',
    codeFor: (id) => `Einmalcode für ${id}:`,
    codeOnce: 'Er wird nur jetzt gezeigt und gilt eine Woche.',
  },

  tokens: {
    title: 'Zugangsschlüssel für Programme',
    what: 'Ein Kalender- oder Überwachungsprogramm kann sich nicht anmelden. Ein Schlüssel erlaubt ihm eine einzige Sache und nie einen Befehl, der ein Relais bewegt.',
    name: 'Wofür, z. B. Kalender der Pforte',
    scope: 'Das Programm darf',
    scopes: {
      calendar: 'den Kalender lesen',
      metrics: 'die Zahlen für Prometheus lesen',
      read: 'alles lesen',
      trace: 'eine Aufzeichnung bestellen',
    },
    states: {
      active: 'aktiv',
      expired: 'abgelaufen',
      withdrawn: 'zurückgezogen',
      'its maker is disabled': 'das Konto, das ihn angelegt hat, ist gesperrt',
      'its maker is no administrator': 'das Konto, das ihn angelegt hat, ist kein Administrator',
      'the clock is behind': 'die Uhr des Hosts geht nach',
    },
    days: 'Gültig, in Tagen',
    make: 'Schlüssel anlegen',
    withdraw: 'Schlüssel zurückziehen',
    until: (day) => `Gültig bis ${day}.`,
    neverUsed: 'Nie benutzt.',
    lastUsed: (day) => `Zuletzt benutzt am ${day}.`,
    secret: 'Der Schlüssel:',
    secretOnce: 'Er wird nur jetzt gezeigt. Wer ihn hat, darf, wofür er ist.',
    address: 'Diese Adresse im Kalenderprogramm abonnieren:',
    addressOnce:
      'Sie wird nur jetzt gezeigt. Wer sie sieht, kann den Kalender lesen: Schicken Sie sie niemandem, und ziehen Sie den Schlüssel zurück, wenn jemand sie bekommen hat.',
  },

  passkeys: {
    title: 'Passkeys dieses Kontos',
    what: 'Mit einem Passkey melden Sie sich hier mit der Sperre Ihres Geräts an, ohne Passwort. Er lässt sich weder weitergeben noch auf einer falschen Seite eintippen.',
    name: 'Welches Gerät, z. B. mein Telefon',
    add: 'Passkey hinzufügen',
    remove: 'Entfernen',
    removeOf: (name) => `Passkey ${name} entfernen`,
    use: 'Mit einem Passkey anmelden',
    none: 'Das Gerät hat keinen Passkey für diese Seite gegeben. Noch einmal versuchen oder mit dem Passwort anmelden.',
  },

  site,

  said: {
    ...saidOfSite,
    'The lamp was not lit 5 s after the supply was cut.':
      'Die Lampe war 5 s nach dem Abschalten der Versorgung dunkel.',
    'The lamp was lit at 5 s but below half its commissioned current.':
      'Die Lampe leuchtete bei 5 s, aber mit weniger als der Hälfte ihres Inbetriebnahmestroms.',
    'The lamp had not reached full commissioned current at 60 s.':
      'Die Lampe hatte bei 60 s ihren vollen Inbetriebnahmestrom nicht erreicht.',
    'The lamp went out before its rated duration was up.':
      'Die Lampe erlosch vor Ablauf ihrer Bemessungsbetriebsdauer.',
    'The lamp is lit on mains but should be dark.': 'Die Lampe leuchtet am Netz, sollte aber dunkel sein.',
    'The lamp is dark on mains but should be lit.': 'Die Lampe ist am Netz dunkel, sollte aber leuchten.',
    'The lamp flickers: on average it gave too little current, though not all the time.':
      'Die Lampe flackert: im Mittel zog sie zu wenig Strom, wenn auch nicht die ganze Zeit.',
    'The lamp current did not change when the supply was cut: it may be fed from another circuit.':
      'Der Lampenstrom änderte sich beim Abschalten der Versorgung nicht: vielleicht wird sie aus einem anderen Stromkreis gespeist.',
    'The sensor reads more than one and a half times the commissioned current: another lamp may be on it.':
      'Der Sensor misst mehr als das Anderthalbfache des Inbetriebnahmestroms: vielleicht hängt eine weitere Lampe daran.',
    'Every luminaire had a verdict before the time was up, so the test ended early.':
      'Jede Notleuchte hatte vor Ablauf der Zeit ein Urteil; darum endete der Test früher.',
    'The batteries have drawn no charging current since the supply came back.':
      'Die Batterien ziehen keinen Ladestrom, seit die Versorgung wieder da ist.',
    'The charging current had not fallen by the end of the recharge time.':
      'Der Ladestrom war am Ende der Ladezeit nicht gesunken.',
    'The test ran to the end.': 'Der Test lief bis zum Ende.',
    'A mains failure interrupted the test; the result is void.':
      'Ein Netzausfall unterbrach den Test; das Ergebnis ist ungültig.',
    'Someone ordered the supply to be restored.': 'Jemand befahl, die Versorgung wiederherzustellen.',
    'The fire alarm or stop input is active.': 'Der Eingang für Brandmeldung oder Halt ist aktiv.',
    'The key switch is set to hold.': 'Der Schlüsselschalter steht auf Anhalten.',
    'Someone put testing on hold.': 'Jemand hat die Tests angehalten.',
    'There is someone in the area.': 'Im Bereich ist jemand.',
    'The controller restarted.': 'Das Steuergerät startete neu.',
    'Lamp readings were missing for too long to give a verdict.':
      'Messwerte der Lampen fehlten zu lange für ein Urteil.',
    'The relay did not open when switched: the supply stayed on.':
      'Das Relais öffnete beim Schalten nicht: die Versorgung blieb ein.',
    'The relay did not close when switched: the supply is still off.':
      'Das Relais schloss beim Schalten nicht: die Versorgung ist noch aus.',
    'The relay closed by itself during the test.': 'Das Relais schloss während des Tests von selbst.',
    "The relay's auxiliary contact disagrees with the supply sensing.":
      'Der Hilfskontakt des Relais widerspricht der Erfassung der Versorgung.',
    'The current sensor reads current while the lamp is known to be dark.':
      'Der Stromsensor misst Strom, obwohl die Lampe sicher dunkel ist.',
    'The current sensor is open circuit, shorted or out of range.':
      'Der Stromsensor ist unterbrochen, kurzgeschlossen oder außerhalb seines Messbereichs.',
    'No lamp was seen to light: suspect the tester before the luminaires.':
      'Keine Lampe leuchtete: zuerst die Prüfeinrichtung verdächtigen, nicht die Notleuchten.',
    'Several lamps failed at the same instant: suspect the tester.':
      'Mehrere Lampen fielen im selben Augenblick aus: die Prüfeinrichtung verdächtigen.',
    'The controller cannot write to its memory.': 'Das Steuergerät kann seinen Speicher nicht beschreiben.',
    'The supply did not come back after the relay was closed.':
      'Die Versorgung kam nach dem Schließen des Relais nicht wieder.',
    'The controller hung and its watchdog restarted it.':
      'Das Steuergerät hing und wurde von seiner Überwachung neu gestartet.',
    'The current sensor reading did not change by even 1 mA when the supply was cut.':
      'Der Messwert des Stromsensors änderte sich beim Abschalten der Versorgung nicht einmal um 1 mA.',
    'One of the guards that release the relay was too slow or did not release it.':
      'Eine der Sicherungen, die das Relais abfallen lassen, war zu langsam oder ließ es nicht abfallen.',
    "The controller's timing does not agree with the host's time.":
      'Die Zeitmessung des Steuergeräts stimmt nicht mit der Zeit des Hosts überein.',
    'A self-test of the controller failed.': 'Ein Selbsttest des Steuergeräts wurde nicht bestanden.',
    'The current sensor does not answer on its bus.': 'Der Stromsensor antwortet an seinem Bus nicht.',
    'The current sensor answers too slowly on its bus to judge the luminaire.':
      'Der Stromsensor antwortet an seinem Bus zu langsam, um die Notleuchte zu beurteilen.',
    "The current sensor's address on the bus is used twice.":
      'Die Adresse des Stromsensors am Bus ist doppelt vergeben.',
    'The current sensor answers with errors on its bus.':
      'Der Stromsensor antwortet an seinem Bus mit Fehlern.',
    'The controller has no settings yet.': 'Das Steuergerät hat noch keine Einstellungen.',
    'The controller is not sure of the time.': 'Das Steuergerät ist sich der Uhrzeit nicht sicher.',
    'This night is reserved for a neighbouring circuit.':
      'Diese Nacht ist für einen benachbarten Stromkreis reserviert.',
    'It is outside the test window.': 'Es ist außerhalb des Zeitfensters.',
    'Not enough of the test window is left for this test.':
      'Das Zeitfenster reicht für diesen Test nicht mehr.',
    'The batteries are still recharging.': 'Die Batterien laden noch.',
    'The area is not confirmed empty.': 'Es ist nicht bestätigt, dass der Bereich leer ist.',
    "The controller's memory is full of results waiting for the log book.":
      'Der Speicher des Steuergeräts ist voll von Ergebnissen, die auf das Prüfbuch warten.',
    'The controller is busy with another test.': 'Das Steuergerät ist mit einem anderen Test beschäftigt.',
    'Nothing to do: the supply is on and no test is running.':
      'Nichts zu tun: die Versorgung ist ein und kein Test läuft.',
    'The supply keeps dipping.': 'Die Versorgung bricht immer wieder ein.',
    "The test and its recharge do not fit into this circuit's hours of a shared night.":
      'Test und Ladung passen nicht in die Stunden, die dieser Stromkreis in einer geteilten Nacht hat.',
    'The message has a wrong signature.': 'Die Nachricht hat eine falsche Signatur.',
    'The message has been used before.': 'Die Nachricht wurde schon einmal verwendet.',
    'The message arrived too late.': 'Die Nachricht kam zu spät an.',
    'The message cannot be read.': 'Die Nachricht kann nicht gelesen werden.',
    'The message is in a version the controller does not understand.':
      'Die Nachricht hat eine Version, die das Steuergerät nicht versteht.',
    'The message asks for a value outside the permitted range.':
      'Die Nachricht verlangt einen Wert außerhalb des erlaubten Bereichs.',
    'The broker had stored the message; stored orders are never obeyed.':
      'Der Broker hatte die Nachricht gespeichert; gespeicherte Befehle werden nie befolgt.',
    'Its program has changed: load it again, and replace the controller if it happens again.':
      'Sein Programm hat sich verändert: neu laden, und das Steuergerät ersetzen, wenn es wieder geschieht.',
    'Its memory does not keep what is written: replace the controller.':
      'Sein Speicher behält nicht, was geschrieben wird: das Steuergerät ersetzen.',
    'Every current sensor reads beyond its range: check the converter and its wiring.':
      'Jeder Stromsensor misst außerhalb seines Bereichs: Wandler und Leitungen prüfen.',
    'Its program has used up its working memory: report it with the log book.':
      'Sein Programm hat seinen Arbeitsspeicher aufgebraucht: mit dem Prüfbuch melden.',
    'The controller has just started and is checking its inputs.':
      'Das Steuergerät ist gerade gestartet und prüft seine Eingänge.',
    'The supply is on and the batteries are charged.':
      'Die Versorgung ist ein, und die Batterien sind geladen.',
    'The supply is on and the batteries are recharging.': 'Die Versorgung ist ein, und die Batterien laden.',
    'A test cannot start: {said}': 'Ein Test kann nicht beginnen: {said}',
    'The supply is being cut for a {kind}.': 'Die Versorgung wird gerade abgeschaltet für: {kind}.',
    'A {kind} is running; the luminaires are on battery.':
      'Es läuft: {kind}; die Notleuchten sind auf Batterie.',
    'The test is over; checking that the supply is back.':
      'Der Test ist vorbei; es wird geprüft, ob die Versorgung wieder da ist.',
    'The mains has failed; the luminaires are on battery.':
      'Das Netz ist ausgefallen; die Notleuchten sind auf Batterie.',
    'Testing is on hold.': 'Die Tests sind angehalten.',
    'Tester fault: no tests until it is cleared.':
      'Störung der Prüfeinrichtung: keine Tests, bis sie quittiert ist.',
    'This controller has never reported.': 'Dieses Steuergerät hat sich noch nie gemeldet.',
    'Nothing heard for {length}.': 'Seit {length} nichts gehört.',
    'Last report: {said}': 'Letzte Meldung: {said}',
    '{text} (circuit {id}): on battery now in a {kind}, batteries full again on {when}.':
      '{text} (Stromkreis {id}): jetzt auf Batterie, {kind}, Batterien wieder voll am {when}.',
    '{text} (circuit {id}): on battery now in a {kind}, not known when the batteries will be full.':
      '{text} (Stromkreis {id}): jetzt auf Batterie, {kind}, nicht bekannt, wann die Batterien voll sind.',
    '{text} (circuit {id}): no supply now; not yet known when the batteries will be full.':
      '{text} (Stromkreis {id}): jetzt keine Versorgung; noch nicht bekannt, wann die Batterien voll sind.',
    '{text} (circuit {id}): batteries recharging, batteries full again on {when}.':
      '{text} (Stromkreis {id}): Batterien laden, Batterien wieder voll am {when}.',
    '{text} (circuit {id}): batteries recharging, end not yet known.':
      '{text} (Stromkreis {id}): Batterien laden, Ende noch nicht bekannt.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, batteries full again on {when}.':
      '{text} (Stromkreis {id}), Stand der letzten Meldung am {when2}: auf Batterie, {kind}, Batterien wieder voll am {when}.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, not known when the batteries will be full.':
      '{text} (Stromkreis {id}), Stand der letzten Meldung am {when2}: auf Batterie, {kind}, nicht bekannt, wann die Batterien voll sind.',
    '{text} (circuit {id}), when last heard on {when2}: no supply; not yet known when the batteries will be full.':
      '{text} (Stromkreis {id}), Stand der letzten Meldung am {when2}: keine Versorgung; noch nicht bekannt, wann die Batterien voll sind.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, batteries full again on {when}.':
      '{text} (Stromkreis {id}), Stand der letzten Meldung am {when2}: Batterien laden, Batterien wieder voll am {when}.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, end not yet known.':
      '{text} (Stromkreis {id}), Stand der letzten Meldung am {when2}: Batterien laden, Ende noch nicht bekannt.',
    '{text} (circuit {id}): {kind} planned for {when}, batteries full again on {when2}.':
      '{text} (Stromkreis {id}): {kind} geplant für {when}, Batterien wieder voll am {when2}.',
    'If the power fails: leave {text} at once by torchlight, keep everyone out, and tell {text2}.':
      'Bei Stromausfall: {text} sofort mit Taschenlampe verlassen, niemanden hineinlassen und benachrichtigen: {text2}.',
    'Emergency luminaires there may stay dark or go out early.':
      'Notleuchten können dort dunkel bleiben oder zu früh erlöschen.',
    'Go by {ways} by torchlight without stopping there: no way out is fully lit.':
      'Mit Taschenlampe über {ways} gehen und dort nicht stehen bleiben: kein Ausgang ist voll beleuchtet.',
    'If the power fails: leave the building by {ways} by torchlight without stopping there: no way out is fully lit.':
      'Bei Stromausfall: das Gebäude mit Taschenlampe über {ways} verlassen und dort nicht stehen bleiben: kein Ausgang ist voll beleuchtet.',
    'Tell {text}.': 'Zu benachrichtigen: {text}.',
    '{Kind} of {when}: lit for {length} (log book entry {n}).':
      '{Kind} vom {when}: leuchtete {length} (Prüfbuch, Eintrag {n}).',
    '{Kind} of {when}: lit for {length} of {length2} rated (log book entry {n}).':
      '{Kind} vom {when}: leuchtete {length} von {length2} Bemessung (Prüfbuch, Eintrag {n}).',
    'Repair it, then report the repair; only a pass in a {kind} closes it.':
      'Reparieren, dann die Reparatur melden; erst ein bestandener Test dieser Art schließt den Mangel: {kind}.',
    'Repair it, then report the repair; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Reparieren, dann die Reparatur melden; erst ein bestandener Test schließt den Mangel: wenn Batterie, Lampe, Betriebsgerät, Ladegerät oder die ganze Notleuchte gewechselt wurde {kind}, sonst {kind2}.',
    'Repaired.': 'Repariert.',
    'Find out why the repair did not help; repair it again, then report that; only a pass in a {kind} closes it.':
      'Klären, warum die Reparatur nicht geholfen hat; erneut reparieren und das melden. Nur bestanden schließt den Mangel: {kind}.',
    'Find out why the repair did not help; repair it again, then report that; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Klären, warum die Reparatur nicht geholfen hat; erneut reparieren und das melden; erst ein bestandener Test schließt den Mangel: wenn Batterie, Lampe, Betriebsgerät, Ladegerät oder die ganze Notleuchte gewechselt wurde {kind}, sonst {kind2}.',
    'Repaired on {day} ({text}); the {kind} of {when} failed again: the repair did not help.':
      'Repariert am {day} ({text}); danach wieder nicht bestanden: {kind} vom {when}. Die Reparatur hat nicht geholfen.',
    'Repaired on {day}; the {kind} of {when} failed again: the repair did not help.':
      'Repariert am {day}; danach wieder nicht bestanden: {kind} vom {when}. Die Reparatur hat nicht geholfen.',
    'Not proven since {day}.': 'Nicht nachgewiesen seit {day}.',
    'No luminaire proven.': 'Keine Notleuchte nachgewiesen.',
    'No luminaire proven since {day}.': 'Keine Notleuchte nachgewiesen seit {day}.',
    'Tests without a verdict: {n}, the last on {day}: {said}':
      'Tests ohne Urteil: {n}, der letzte am {day}: {said}',
    'Duration tests without a verdict: {n}, the last on {day}: {said}':
      'Betriebsdauertests ohne Urteil: {n}, der letzte am {day}: {said}',
    'Duration tests without a verdict: {n}.': 'Betriebsdauertests ohne Urteil: {n}.',
    'No test since then had a verdict.': 'Kein Test hatte seitdem ein Urteil.',
    'No duration test since then had a verdict.': 'Kein Betriebsdauertest hatte seitdem ein Urteil.',
    'Nobody has measured the currents it is judged by: they are expected ones.':
      'Niemand hat die Ströme gemessen, nach denen geurteilt wird: es sind erwartete.',
    'Look at it lit in a complete test, then accept on its page what was measured.':
      'In einem vollständigen Test leuchten sehen, dann auf der Seite der Notleuchte übernehmen, was gemessen wurde.',
    'Its page says where to look first.': 'Auf der Seite steht, wo zuerst zu suchen ist.',
    'Next try, a {kind}: planned for {when}.': 'Nächster Versuch ({kind}): geplant für {when}.',
    'Next try, a {kind}: not planned yet.': 'Nächster Versuch ({kind}): noch nicht geplant.',
    'Not heard since this host started; its last record is of {day}.':
      'Seit dem Start dieses Hosts nicht gehört; die letzte Aufzeichnung ist vom {day}.',
    'Its controller has not been heard since this host started; its last record is of {day}.':
      'Sein Steuergerät wurde seit dem Start dieses Hosts nicht gehört; die letzte Aufzeichnung ist vom {day}.',
    'Retest, a {kind}: planned for {when}.': 'Nachtest ({kind}): geplant für {when}.',
    'Retest, a {kind}: not planned yet.': 'Nachtest ({kind}): noch nicht geplant.',
    'The {kind} of {when} ended without a verdict: {said}': '{kind} vom {when} endete ohne Urteil: {said}',
    'It failed for a reason that was not recorded.': 'Nicht bestanden; der Grund wurde nicht festgehalten.',
    'Not proven.': 'Nicht nachgewiesen.',
    'Its controller has never been heard from.': 'Sein Steuergerät wurde noch nie gehört.',
    'Its controller is silent.': 'Sein Steuergerät ist stumm.',
    'Tester fault: it makes no tests.': 'Störung der Prüfeinrichtung: keine Tests.',
    'A test is overdue.': 'Ein Test ist überfällig.',
    'Check the controller’s supply and its network, then let it test again.':
      'Versorgung und Netzwerk des Steuergeräts prüfen, dann wieder testen lassen.',
    'Have the tester repaired, then clear the fault.':
      'Die Prüfeinrichtung reparieren lassen, dann die Störung quittieren.',
    'Its page says what it waits for; or start the test while someone works there.':
      'Auf seiner Seite steht, worauf er wartet; oder den Test starten, während dort jemand arbeitet.',
    'Its controller is not heard, so no order reaches it.':
      'Sein Steuergerät ist nicht zu hören; kein Befehl erreicht es.',
    'Its batteries recharge until {when}; a test is possible after that.':
      'Seine Batterien laden bis {when}; danach ist ein Test möglich.',
    'There is no plan yet.': 'Es gibt noch keinen Plan.',
    'It shows only that the lamp lights again.': 'Er zeigt nur, dass die Lampe wieder leuchtet.',
    'The {kind} that closes the defect is possible once the batteries have charged, from {when}.':
      'Was den Mangel schließt ({kind}), ist möglich, sobald die Batterien geladen sind, ab {when}.',
    'The {kind} that closes the defect is possible only on days without tests of its neighbours.':
      'Was den Mangel schließt ({kind}), ist nur an Tagen möglich, an denen seine Nachbarn nicht geprüft werden.',
    'The controller has started (firmware {text}).': 'Das Steuergerät ist gestartet (Firmware {text}).',
    'The controller has started with an empty memory (firmware {text}).':
      'Das Steuergerät ist mit leerem Speicher gestartet (Firmware {text}).',
    '{Kind} starts: the supply is about to be cut.':
      '{Kind} beginnt: die Versorgung wird gleich abgeschaltet.',
    '{Kind} stopped after {length}: nothing was judged.':
      '{Kind} nach {length} beendet: nichts wurde beurteilt.',
    '{Kind} ended after {length}: the luminaire passed.':
      '{Kind} endete nach {length}: die Notleuchte hat bestanden.',
    '{Kind} ended after {length}: all {n} luminaires passed.':
      '{Kind} endete nach {length}: alle {n} Notleuchten haben bestanden.',
    '{Kind} ended after {length}: {n} of {n2} luminaire failed.':
      '{Kind} endete nach {length}: {n} von {n2} Notleuchte nicht bestanden.',
    '{Kind} ended after {length}: void for {n} luminaire.':
      '{Kind} endete nach {length}: ungültig für {n} Notleuchte.',
    '{Kind} ended after {length}: void for {n} luminaire, {n2} passed.':
      '{Kind} endete nach {length}: ungültig für {n} Notleuchte, {n2} bestanden.',
    '{Kind} ended after {length}: {n} of {n2} luminaires failed.':
      '{Kind} endete nach {length}: {n} von {n2} Notleuchten nicht bestanden.',
    '{Kind} ended after {length}: void for {n} luminaires.':
      '{Kind} endete nach {length}: ungültig für {n} Notleuchten.',
    '{Kind} ended after {length}: void for {n} luminaires, {n2} passed.':
      '{Kind} endete nach {length}: ungültig für {n} Notleuchten, {n2} bestanden.',
    'Mains failure; the luminaires are on battery.': 'Netzausfall; die Notleuchten sind auf Batterie.',
    'The supply is unsteady: {n} short dips in a row.':
      'Die Versorgung ist unruhig: {n} kurze Einbrüche hintereinander.',
    'No test starts until it has been steady for 10 minutes.':
      'Kein Test beginnt, bis sie 10 Minuten ruhig war.',
    'The mains is back after {length}.': 'Das Netz ist nach {length} wieder da.',
    'After a tester fault, the supply is back after {length}.':
      'Nach einer Störung der Prüfeinrichtung ist die Versorgung nach {length} wieder da.',
    'Tester fault cleared.': 'Störung der Prüfeinrichtung quittiert.',
    'It was: {said}': 'Sie war: {said}',
    'It was the pulse detector, with the pulses stopped low.':
      'Es war der Impulsdetektor, Impulse auf niedrig angehalten.',
    'It was the pulse detector, with the pulses stopped high.':
      'Es war der Impulsdetektor, Impulse auf hoch angehalten.',
    'It was the enable signal.': 'Es war das Freigabesignal.',
    'Testing is on hold for {length}.': 'Die Tests sind für {length} angehalten.',
    'Testing has been on hold for {length}.': 'Die Tests sind seit {length} angehalten.',
    "The controller's clock was moved back by {length}; two time answers agreed.":
      'Die Uhr des Steuergeräts wurde um {length} zurückgestellt; zwei Zeitangaben stimmten überein.',
    "The controller's clock was moved forward by {length}; two time answers agreed.":
      'Die Uhr des Steuergeräts wurde um {length} vorgestellt; zwei Zeitangaben stimmten überein.',
    'The clock chip was set.': 'Der Uhrenbaustein wurde gestellt.',
    'The clock chip does not answer, or cannot be set.':
      'Der Uhrenbaustein antwortet nicht oder lässt sich nicht stellen.',
    'Check its wiring and its cell.': 'Leitungen und Knopfzelle prüfen.',
    'The clock chip was {length} behind and was corrected.':
      'Der Uhrenbaustein ging {length} nach und wurde gestellt.',
    'The clock chip was {length} ahead and was corrected.':
      'Der Uhrenbaustein ging {length} vor und wurde gestellt.',
    'If this happens again, replace it.': 'Wenn das wieder geschieht, ersetzen.',
    'Testing resumed after a hold of {length}.': 'Die Tests gehen nach {length} Anhalten weiter.',
    'No test is being made: the controller does not know the time.':
      'Es wird nicht getestet: das Steuergerät kennt die Uhrzeit nicht.',
    'It needs the host, or a clock chip.': 'Es braucht den Host oder einen Uhrenbaustein.',
    'A test is overdue: none of its planned tries had a verdict.':
      'Ein Test ist überfällig: keiner seiner geplanten Versuche ergab ein Urteil.',
    'A test is overdue: no test window was found for it.':
      'Ein Test ist überfällig: für ihn fand sich kein Zeitfenster.',
    'No charging after the last test: {n} mA 60 s after the supply came back.':
      'Keine Ladung nach dem letzten Test: {n} mA 60 s nach Rückkehr der Versorgung.',
    'Charging after the last test started at {n} mA.': 'Ladung nach dem letzten Test begann mit {n} mA.',
    'Charging after the last test started at {n} mA and fell to half within {length}.':
      'Ladung nach dem letzten Test begann mit {n} mA und fiel auf die Hälfte in {length}.',
    'Charging after the last test started at {n} mA and fell to half within {length} and to a fifth within {length2}.':
      'Ladung nach dem letzten Test begann mit {n} mA und fiel auf die Hälfte in {length} und auf ein Fünftel in {length2}.',
    'The supply failed again; charging was seen for only {length}.':
      'Die Versorgung fiel wieder aus; die Ladung war nur {length} zu sehen.',
    'restore the supply': 'die Versorgung wiederherstellen',
    'hold testing for {length}': 'die Tests für {length} anhalten',
    'release the hold': 'die Tests freigeben',
    'clear the fault': 'die Störung quittieren',
    'start a {kind}': 'einen Test starten ({kind})',
    'extend the test by {length}': 'den Test um {length} verlängern',
    'record a trace of the next test': 'den nächsten Test mitschreiben',
    'send its records again': 'die Datensätze erneut senden',
    'The controller has accepted the order to {said}.': 'Das Steuergerät hat den Befehl angenommen: {said}.',
    'The controller refused to {said}.': 'Das Steuergerät hat den Befehl abgelehnt: {said}.',
    'There was nothing to restore: the controller was not holding the supply off.':
      'Es gab nichts wiederherzustellen: das Steuergerät hielt die Versorgung nicht abgeschaltet.',
    'The order was not sent: there is no connection to the MQTT broker.':
      'Der Befehl wurde nicht gesendet: es besteht keine Verbindung zum MQTT-Broker.',
    'The host was stopped before the controller answered.':
      'Der Host wurde beendet, bevor das Steuergerät antwortete.',
    'Answer to order {n}: {said}': 'Antwort auf Befehl {n}: {said}',
    '{text} gave the order to {said}; the controller accepted it.':
      '{text} gab den Befehl: {said}; das Steuergerät nahm ihn an.',
    '{text} gave the order to {said}; the controller refused it.':
      '{text} gab den Befehl: {said}; das Steuergerät lehnte ihn ab.',
    '{text} gave the order to {said} (order {n}).': '{text} gab den Befehl: {said} (Befehl {n}).',
    '{Kind} on demand was called off before it started.': '{Kind} auf Befehl wurde vor dem Beginn abgesagt.',
    'Account or password is wrong.': 'Konto oder Passwort ist falsch.',
    'This passkey was not accepted.': 'Dieser Passkey wurde nicht angenommen.',
    'Sign in with the password.': 'Melden Sie sich mit dem Passwort an.',
    'Too many wrong attempts; try again in {n} s.':
      'Zu viele falsche Versuche; versuchen Sie es in {n} s wieder.',
    'Too many people are signing in at once; try again in a few seconds.':
      'Zu viele melden sich gleichzeitig an; versuchen Sie es in einigen Sekunden wieder.',
    'Code is wrong.': 'Der Code ist falsch.',
    'Compare it with the screen.': 'Vergleichen Sie ihn mit dem Bildschirm.',
    'Account or code is wrong, or the code was used or is too old.':
      'Konto oder Code ist falsch, oder der Code ist benutzt oder zu alt.',
    'The code was used meanwhile.': 'Der Code wurde inzwischen benutzt.',
    'The password is wrong.': 'Das Passwort ist falsch.',
    'Your session has ended; sign in again.': 'Ihre Anmeldung ist abgelaufen; melden Sie sich wieder an.',
    'Sign in first.': 'Melden Sie sich zuerst an.',
    'There are accounts already; ask an administrator for one.':
      'Es gibt schon Konten; bitten Sie einen Administrator um eines.',
    'A password needs at least {n} characters.': 'Ein Passwort braucht mindestens {n} Zeichen.',
    'Four unrelated words do.': 'Vier Wörter ohne Zusammenhang genügen.',
    'A password may have at most {n} characters.': 'Ein Passwort hat höchstens {n} Zeichen.',
    'This password contains your name.': 'Dieses Passwort enthält Ihren Namen.',
    'This password contains a name that belongs to the building.':
      'Dieses Passwort enthält einen Namen, der zum Gebäude gehört.',
    'This password is among the first that others would try.':
      'Dieses Passwort würden andere mit als erstes versuchen.',
    'Choose four unrelated words.': 'Wählen Sie vier Wörter ohne Zusammenhang.',
    'Give the full name, 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Geben Sie den vollen Namen an, 1 bis {n} Zeichen ohne Anführungszeichen und Backslash: er steht im Prüfbuch.',
    'There is an account {id} already; choose another.':
      'Das Konto {id} gibt es schon; wählen Sie ein anderes.',
    'The account must have 2 to 24 lower-case letters without accents, digits, dots and hyphens, e.g. anna or j.vail.':
      'Das Konto besteht aus 2 bis 24 Kleinbuchstaben ohne Akzente, Ziffern, Punkten und Bindestrichen, z. B. anna oder j.vail.',
    'Make an administrator first: nobody else can make accounts and give codes on the page.':
      'Legen Sie zuerst einen Administrator an: sonst kann niemand auf der Seite Konten anlegen und Codes geben.',
    'This host has one building only; give the role without it.':
      'Dieser Host hat nur ein Gebäude; geben Sie die Rolle ohne Gebäude.',
    'An administrator is that in every building; give the role without a building.':
      'Ein Administrator ist es in jedem Gebäude; geben Sie die Rolle ohne Gebäude.',
    'There is no building "{text}" here; choose one of: {text2}.':
      'Das Gebäude „{text}“ gibt es hier nicht; wählen Sie eines von diesen: {text2}.',
    'There is no account {id}.': 'Das Konto {id} gibt es nicht.',
    '{id} is the only administrator with a password; make another one first.':
      '{id} ist der einzige Administrator mit Passwort; legen Sie zuerst einen anderen an.',
    '{id} has the role {role} there already.': '{id} hat dort schon die Rolle: {role}.',
    '{id} has the role {role} already.': '{id} hat schon die Rolle: {role}.',
    '{id} would have no role any more; disable the account instead.':
      '{id} hätte keine Rolle mehr; sperren Sie stattdessen das Konto.',
    '{id} is disabled already.': '{id} ist schon gesperrt.',
    '{id} is enabled already.': '{id} ist nicht gesperrt.',
    'Change your own password on the page of your account; a code is for somebody who forgot his.':
      'Ihr eigenes Passwort ändern Sie auf der Seite Ihres Kontos; ein Code ist für jemanden, der seines vergessen hat.',
    'Nothing was changed.': 'Nichts wurde geändert.',
    'Done, and entered in the log book: account {id}.': 'Erledigt und im Prüfbuch eingetragen: Konto {id}.',
    'Done, and entered in the log book: access token {id}.':
      'Erledigt und im Prüfbuch eingetragen: Zugangsschlüssel {id}.',
    'Done: account {id}.': 'Erledigt: Konto {id}.',
    'Done: access token {id}.': 'Erledigt: Zugangsschlüssel {id}.',
    'The log book does not have it yet, and gets it as soon as it can.':
      'Im Prüfbuch steht es noch nicht; es wird eingetragen, sobald das geht.',
    'The new password holds from now on.': 'Das neue Passwort gilt ab jetzt.',
    'The passkeys of this account were removed.': 'Die Passkeys dieses Kontos wurden entfernt.',
    'The passkeys of this account were removed; add your own again.':
      'Die Passkeys dieses Kontos wurden entfernt; fügen Sie Ihre eigenen wieder hinzu.',
    'Say what the token is for, in 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Sagen Sie, wofür der Schlüssel ist, in 1 bis {n} Zeichen ohne Anführungszeichen und Backslash: es steht im Prüfbuch.',
    'A token is good for 1 to {n} days.': 'Ein Schlüssel gilt 1 bis {n} Tage.',
    'There are {n} tokens already; withdraw one that nobody needs.':
      'Es gibt schon {n} Schlüssel; ziehen Sie einen zurück, den niemand braucht.',
    'There is no access token {id}.': 'Den Zugangsschlüssel {id} gibt es nicht.',
    'The access token {id} is withdrawn already.': 'Der Zugangsschlüssel {id} ist schon zurückgezogen.',
    'The device has made no passkey that this host can use.':
      'Das Gerät hat keinen Passkey erzeugt, den dieser Host verwenden kann.',
    'Try again.': 'Versuchen Sie es noch einmal.',
    'Say which device it is, in 1 to {n} characters without quotes or backslash.':
      'Sagen Sie, welches Gerät es ist, in 1 bis {n} Zeichen ohne Anführungszeichen und Backslash.',
    'An account has at most {n} passkeys.': 'Ein Konto hat höchstens {n} Passkeys.',
    'This passkey is there already.': 'Diesen Passkey gibt es schon.',
    'There is no such passkey.': 'Diesen Passkey gibt es nicht.',
    'Passkeys need the page at a host name over TLS, or at localhost; an address of numbers has none.':
      'Passkeys gehen nur auf der Seite unter einem Hostnamen über TLS oder unter localhost; unter einer Adresse aus Zahlen gibt es keine.',
    'Nobody may do this.': 'Das darf niemand.',
    'Only an administrator may do this; you are signed in as {id}, {role}.':
      'Das darf nur ein Administrator; Sie sind angemeldet als {id} ({role}).',
    'Only a person with the role {role} may do this; you are signed in as {id}, {role2}.':
      'Das darf nur, wer diese Rolle hat: {role}; Sie sind angemeldet als {id} ({role2}).',
    'Only an administrator may do this; you are signed in as {id}, who has no role here.':
      'Das darf nur ein Administrator; Sie sind angemeldet als {id} und haben hier keine Rolle.',
    'Only a person with the role {role} may do this; you are signed in as {id}, who has no role here.':
      'Das darf nur, wer diese Rolle hat: {role}; Sie sind angemeldet als {id} und haben hier keine Rolle.',
    'This host cannot read the request.': 'Dieser Host kann die Anfrage nicht lesen.',
    'Load the page again.': 'Laden Sie die Seite neu.',
    'The request is too long.': 'Die Anfrage ist zu lang.',
    'The log book says that accounts were made here, but their file does not have them.':
      'Laut Prüfbuch wurden hier Konten angelegt, aber ihre Datei hat sie nicht.',
    'Restore that file from your backup, or make an administrator with "nightproof accounts add" on the host\'s machine.':
      'Stellen Sie diese Datei aus Ihrer Sicherung wieder her, oder legen Sie auf dem Rechner des Hosts mit «nightproof accounts add» einen Administrator an.',
    'battery changed': 'Batterie gewechselt',
    'lamp changed': 'Lampe gewechselt',
    'driver or charger changed': 'Betriebsgerät oder Ladegerät gewechselt',
    'whole luminaire changed': 'ganze Notleuchte gewechselt',
    once: 'einmal',
    'every day': 'jeden Tag',
    'every {n} days': 'alle {n} Tage',
    'every month': 'jeden Monat',
    'every {n} months': 'alle {n} Monate',
    'every year': 'jedes Jahr',
    'every {n} years': 'alle {n} Jahre',
    'an instructed person': 'eine unterwiesene Person',
    'a competent person': 'eine sachkundige Person',
    'a skilled electrician': 'eine Elektrofachkraft',
    'the responsible person': 'die verantwortliche Person',
    'the whole site': 'die ganze Anlage',
    'Daily look at the central supply': 'Tägliche Ansicht der Zentralversorgung',
    'The indicators of the central supply show that it is healthy.':
      'Die Anzeigen der Zentralversorgung zeigen, dass sie in Ordnung ist.',
    'Faults found earlier are being attended to.': 'Um früher gefundene Fehler wird sich gekümmert.',
    'Walk past every luminaire': 'Rundgang zu jeder Notleuchte',
    'Walk past every luminaire, and rest mode': 'Rundgang zu jeder Notleuchte, und Ruhebetrieb',
    'Every luminaire and sign is in its place and undamaged.':
      'Jede Notleuchte und jedes Zeichen ist an seinem Platz und unbeschädigt.',
    'Luminaires and signs are clean.': 'Notleuchten und Zeichen sind sauber.',
    'Nothing hides them or blocks their light.': 'Nichts verdeckt sie oder ihr Licht.',
    'Every sign can be seen, and points the right way.':
      'Jedes Zeichen ist zu sehen und weist in die richtige Richtung.',
    'Every indicator lamp is lit.': 'Jede Anzeigelampe leuchtet.',
    'Those looked at during a test were lit.': 'Die während eines Tests angesehenen leuchteten.',
    'The rest command puts the luminaires out while the mains is off.':
      'Der Ruhebefehl löscht die Notleuchten, während das Netz aus ist.',
    'They return to standby by themselves when the mains is back.':
      'Sie gehen von selbst in Bereitschaft, wenn das Netz zurück ist.',
    'Condition of all luminaires': 'Zustand aller Notleuchten',
    'Housings, covers and fixings are sound and dry.':
      'Gehäuse, Abdeckungen und Befestigungen sind heil und trocken.',
    'No lamp or light guide has darkened or yellowed.':
      'Keine Lampe und kein Lichtleiter ist dunkel oder gelb geworden.',
    'Signs can be read from where they must be.':
      'Zeichen sind von dort zu lesen, von wo sie es sein müssen.',
    'Guidance lights': 'Leitleuchten',
    'Every guidance light is in its place and undamaged.':
      'Jede Leitleuchte ist an ihrem Platz und unbeschädigt.',
    'Every guidance light can be seen, and points the right way.':
      'Jede Leitleuchte ist zu sehen und weist in die richtige Richtung.',
    'Every guidance light changes to its battery and back.':
      'Jede Leitleuchte schaltet auf ihre Batterie um und zurück.',
    'Pilot lights, terminals and batteries': 'Kontrolllampen, Klemmen und Batterien',
    'Every pilot light is lit.': 'Jede Kontrolllampe leuchtet.',
    'Terminals are clean and tight.': 'Klemmen sind sauber und fest.',
    'The surfaces of batteries are clean and dry.': 'Die Oberflächen der Batterien sind sauber und trocken.',
    'Simulated failure of the general lighting': 'Nachgebildeter Ausfall der allgemeinen Beleuchtung',
    'Where the supply of the general lighting was cut, every luminaire came on.':
      'Wo die Versorgung der allgemeinen Beleuchtung abgeschaltet wurde, ging jede Notleuchte an.',
    'When it was back, they returned to standby.': 'Als sie wieder da war, gingen sie in Bereitschaft.',
    'Inhibit system': 'Sperreinrichtung',
    'The inhibit command works.': 'Der Sperrbefehl wirkt.',
    'The luminaires are ready again when it ends.': 'Die Notleuchten sind wieder bereit, wenn er endet.',
    'Yearly look after the duration tests': 'Jährliche Ansicht nach den Betriebsdauertests',
    'After the duration tests every indicator lamp was lit again.':
      'Nach den Betriebsdauertests leuchtete jede Anzeigelampe wieder.',
    'Charging works again in every luminaire.': 'Die Ladung arbeitet wieder in jeder Notleuchte.',
    'Every defect that the tests found is repaired or has a date.':
      'Jeder von den Tests gefundene Mangel ist repariert oder hat ein Datum.',
    'Log book, drawings and instructions are at hand.': 'Prüfbuch, Pläne und Anleitungen liegen bereit.',
    'Inspection by a competent person': 'Inspektion durch eine sachkundige Person',
    'The whole installation was inspected.': 'Die ganze Anlage wurde inspiziert.',
    'No deviation is without its reason in the report.': 'Keine Abweichung steht ohne Grund im Bericht.',
    'The signed report or certificate is in the register.':
      'Der unterschriebene Bericht oder das Zertifikat ist im Prüfbuch.',
    'Charging after the duration tests': 'Ladung nach den Betriebsdauertests',
    "The charging voltage agrees with the maker's data.":
      'Die Ladespannung stimmt mit den Angaben des Herstellers überein.',
    "The charging current agrees with the maker's data.":
      'Der Ladestrom stimmt mit den Angaben des Herstellers überein.',
    "The recovery period agrees with the maker's data.":
      'Die Erholzeit stimmt mit den Angaben des Herstellers überein.',
    'Measurement of the light': 'Messung des Lichts',
    'The light was measured in the dark along all escape routes and in open areas.':
      'Das Licht wurde im Dunkeln auf allen Rettungswegen und in offenen Bereichen gemessen.',
    'It is nowhere below what the lighting design asks for.':
      'Es liegt nirgends unter dem, was die Lichtplanung verlangt.',
    'The report with measuring points, instrument and calibration is in the register.':
      'Der Bericht mit Messpunkten, Messgerät und Kalibrierung ist im Prüfbuch.',
    'Key switch and labels': 'Schlüsselschalter und Beschriftung',
    'The key of the test switch is in its place, and those on duty know where.':
      'Der Schlüssel des Prüfschalters ist an seinem Platz, und der Dienst weiß, wo.',
    'Test switch, distribution boards and controllers are labelled.':
      'Prüfschalter, Verteiler und Steuergeräte sind beschriftet.',
    'The switch works, and the supply returns with it.':
      'Der Schalter wirkt, und die Versorgung kommt mit ihm zurück.',
    'Handover and completion papers': 'Übergabe und Abnahmeunterlagen',
    'As-fitted drawings show every luminaire, circuit and test switch.':
      'Bestandspläne zeigen jede Notleuchte, jeden Stromkreis und jeden Prüfschalter.',
    'Declarations of design, installation and verification are signed.':
      'Erklärungen zu Planung, Errichtung und Prüfung sind unterschrieben.',
    'Photometric data or a measurement of the light are there.':
      'Lichttechnische Daten oder eine Messung des Lichts liegen vor.',
    'Instructions for users say what to do and whom to call.':
      'Anleitungen sagen, was zu tun und wer zu rufen ist.',
    'The list of luminaires agrees with what is installed.':
      'Die Liste der Notleuchten stimmt mit dem Eingebauten überein.',
    'Alterations of the building': 'Änderungen am Gebäude',
    'No wall, door, shelf or use of a room has changed since the light was planned.':
      'Keine Wand, Tür, kein Regal und keine Nutzung hat sich seit der Lichtplanung geändert.',
    'Escape routes and signs are still as drawn.': 'Rettungswege und Zeichen sind noch wie gezeichnet.',
    'Where the normal lighting of a place fails, its emergency lighting still comes on.':
      'Wo die normale Beleuchtung ausfällt, geht die Notbeleuchtung noch an.',
    'Who does this work': 'Wer diese Arbeit tut',
    'A competent person is named, with the authority to have repairs done.':
      'Eine sachkundige Person ist benannt und befugt, Reparaturen machen zu lassen.',
    'Those who test, inspect and repair are trained for it, and it is not out of date.':
      'Wer testet, inspiziert und repariert, ist dafür geschult, und das ist noch aktuell.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}.':
      'Der Stromsensor ist wahrscheinlich abgewandert: er zeigte am {day} {n} mA, die keine Lampe zieht.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}, and {n2} mA on {day2}.':
      'Der Stromsensor ist wahrscheinlich abgewandert: er zeigte am {day} {n} mA, die keine Lampe zieht, und am {day2} {n2} mA.',
    'Check sensor and wiring before the luminaire.': 'Sensor und Leitungen vor der Notleuchte prüfen.',
    'Most likely a second supply from another circuit: on {day} it drew {n} mA before the supply was cut and {n2} mA 60 s after, with {n3} mA commissioned on battery.':
      'Wahrscheinlich eine zweite Versorgung aus einem anderen Stromkreis: am {day} zog sie {n} mA vor dem Abschalten und {n2} mA 60 s danach, bei {n3} mA Inbetriebnahmestrom auf Batterie.',
    'Its battery was not tested.': 'Ihre Batterie wurde nicht geprüft.',
    'Prove dead before you touch it: it may be live with its own circuit off.':
      'Vor dem Berühren die Spannungsfreiheit feststellen: sie kann unter Spannung stehen, obwohl ihr Stromkreis aus ist.',
    'Then find what else feeds it, and disconnect that.':
      'Dann finden, was sie sonst speist, und das trennen.',
    'Most likely a second lamp on its sensor, or a wrong commissioned current: on {day} it read {n} mA at 60 s and {n2} mA at the end, with {n3} mA commissioned on battery.':
      'Wahrscheinlich eine zweite Lampe an ihrem Sensor oder ein falscher Inbetriebnahmestrom: am {day} zeigte er {n} mA bei 60 s und {n2} mA am Ende, bei {n3} mA Inbetriebnahmestrom auf Batterie.',
    'Follow the wires through the sensor first: one lamp may hide that another is dark.':
      'Zuerst die Leitungen durch den Sensor verfolgen: eine Lampe kann verbergen, dass eine andere dunkel ist.',
    'With one lamp on it, measure that on battery, and correct the site file or replace the sensor.':
      'Ist nur eine Lampe daran, diese auf Batterie messen und die Anlagendatei berichtigen oder den Sensor ersetzen.',
    'It also glowed on mains, with {n} mA: look for leakage or a wrong connection.':
      'Sie glomm auch am Netz, mit {n} mA: nach Leckstrom oder falschem Anschluss suchen.',
    'Most likely the current sensor: on {day} it stuck at {n} mA from mains to battery and read {n2} mA at 60 s.':
      'Wahrscheinlich der Stromsensor: am {day} blieb er vom Netz zur Batterie bei {n} mA stehen und zeigte {n2} mA bei 60 s.',
    'There is no proof that the lamp was lit.': 'Es gibt keinen Nachweis, dass die Lampe leuchtete.',
    'Most likely the current sensor, its wiring or the multiplexer: it read out of range on {day}.':
      'Wahrscheinlich der Stromsensor, seine Leitungen oder der Multiplexer: er lag am {day} außerhalb des Messbereichs.',
    'Most likely the tester, not the luminaire.': 'Wahrscheinlich die Prüfeinrichtung, nicht die Notleuchte.',
    'On {day} it had lasted {length}.': 'Am {day} hatte sie {length} gehalten.',
    'On {day}: {said}': 'Am {day}: {said}',
    'The circuit drew {n} mA of charging current after the test of {day}.':
      'Der Stromkreis zog nach dem Test vom {day} {n} mA Ladestrom.',
    'Against that: it has passed a function test since, on {day}; only a duration test can show that it lasts again.':
      'Dagegen spricht: sie hat seither einen Funktionstest bestanden, am {day}; nur ein Betriebsdauertest kann zeigen, dass sie wieder hält.',
    'Against that: it has passed a function test since, on {day}, so its lamp works.':
      'Dagegen spricht: sie hat seither einen Funktionstest bestanden, am {day}; ihre Lampe funktioniert also.',
    'Against that: it has passed a function test since, on {day}, but a loose contact comes and goes.':
      'Dagegen spricht: sie hat seither einen Funktionstest bestanden, am {day}, doch ein loser Kontakt kommt und geht.',
    'Against that: it has passed {n3} function tests since, the last on {day}; only a duration test can show that it lasts again.':
      'Dagegen spricht: sie hat seither {n3} Funktionstests bestanden, den letzten am {day}; nur ein Betriebsdauertest kann zeigen, dass sie wieder hält.',
    'Against that: it has passed {n3} function tests since, the last on {day}, so its lamp works.':
      'Dagegen spricht: sie hat seither {n3} Funktionstests bestanden, den letzten am {day}; ihre Lampe funktioniert also.',
    'Against that: it has passed {n3} function tests since, the last on {day}, but a loose contact comes and goes.':
      'Dagegen spricht: sie hat seither {n3} Funktionstests bestanden, den letzten am {day}, doch ein loser Kontakt kommt und geht.',
    'Most likely a loose contact, or a battery that was not charged: not lit at 5 s in the {kind} of {day} ({n} of {n2} mA).':
      'Wahrscheinlich ein loser Kontakt oder eine nicht geladene Batterie: bei 5 s dunkel, {kind} vom {day} ({n} von {n2} mA).',
    'Most likely the charger, or a battery that no longer takes charge: on {day} the lamp was lit for {length}, which emptied the battery, and since {day2} it has stayed dark although it had time to recharge.':
      'Wahrscheinlich das Ladegerät oder eine Batterie, die keine Ladung mehr annimmt: am {day} leuchtete die Lampe {length}, was die Batterie entleerte, und seit {day2} bleibt sie dunkel, obwohl Zeit zum Laden war.',
    'A lamp that failed at that time would look the same.':
      'Eine zu dieser Zeit ausgefallene Lampe sähe ebenso aus.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it was last lit on {day2}.':
      'Wahrscheinlich eine defekte Lampe oder eine defekte, abgeklemmte oder nicht geladene Batterie: bei 5 s dunkel am {day} ({n} von {n2} mA); zuletzt leuchtete sie am {day2}.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it has not been lit in any test on record.':
      'Wahrscheinlich eine defekte Lampe oder eine defekte, abgeklemmte oder nicht geladene Batterie: bei 5 s dunkel am {day} ({n} von {n2} mA); sie leuchtete in keinem verzeichneten Test.',
    'Most likely a battery with a shorted cell: it takes charge, as it lit in {n} function tests since {day}, but it lasted only {length} of {length2} on {day2} ({n2} of {n3} mA at 60 s).':
      'Wahrscheinlich eine Batterie mit kurzgeschlossener Zelle: sie nimmt Ladung an, denn sie leuchtete in {n} Funktionstests seit {day}, hielt aber am {day2} nur {length} von {length2} ({n2} von {n3} mA bei 60 s).',
    'Most likely the charger: on {day} it still lasted {length}, but after time to recharge it lasted only {length2} of {length3} on {day2}.':
      'Wahrscheinlich das Ladegerät: am {day} hielt sie noch {length}, aber nach Zeit zum Laden am {day2} nur {length2} von {length3}.',
    'Most likely the charger: it lasted only {length} of {length2} on {day}.':
      'Wahrscheinlich das Ladegerät: sie hielt am {day} nur {length} von {length2}.',
    'Most likely an aged battery: it lasted {length} of {length2} on {day}.':
      'Wahrscheinlich eine gealterte Batterie: sie hielt am {day} {length} von {length2}.',
    'Most likely an aged battery that its driver cuts off and on again: the lamp flickered from {length} of {length2} on in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Wahrscheinlich eine gealterte Batterie, die das Betriebsgerät ab- und wieder zuschaltet: die Lampe flackerte ab {length} von {length2}, {kind} vom {day}, mit {n} mA bei 5 s, {n2} mA bei 60 s und {n3} mA am Ende, von {n4} mA.',
    'Most likely a loose contact or the driver: the lamp flickered in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Wahrscheinlich ein loser Kontakt oder das Betriebsgerät: die Lampe flackerte, {kind} vom {day}, mit {n} mA bei 5 s, {n2} mA bei 60 s und {n3} mA am Ende, von {n4} mA.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the battery.":
      'Zuerst nach Losem an Batteriestecker, Klemmen und Lampe suchen; ist nichts lose, die Batterie ersetzen.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the driver.":
      'Zuerst nach Losem an Batteriestecker, Klemmen und Lampe suchen; ist nichts lose, das Betriebsgerät ersetzen.',
    'Most likely the lamp or its driver: it reached {n} mA at 5 s and {n2} mA at 60 s of {n3} mA commissioned on {day}.':
      'Wahrscheinlich die Lampe oder ihr Betriebsgerät: sie erreichte am {day} {n} mA bei 5 s und {n2} mA bei 60 s von {n3} mA Inbetriebnahmestrom.',
    'Most likely the switched live or the commissioned mode: the lamp was lit on mains on {day}.':
      'Wahrscheinlich der geschaltete Außenleiter oder die eingetragene Schaltungsart: die Lampe leuchtete am {day} am Netz.',
    'Most likely the switched live or the commissioned mode: the lamp was dark on mains on {day}.':
      'Wahrscheinlich der geschaltete Außenleiter oder die eingetragene Schaltungsart: die Lampe war am {day} am Netz dunkel.',
    'Recorded: {said}': 'Eingetragen: {said}',
    'repaired {text} ({work}); a {kind} is due by {day}.':
      '{text} repariert ({work}); {kind} fällig bis {day}.',
    'repaired {text}; a {kind} is due by {day}.': '{text} repariert; {kind} fällig bis {day}.',
    '{text2} repaired {text} ({work}); a {kind} is due by {day}.':
      '{text2} hat {text} repariert ({work}); {kind} fällig bis {day}.',
    '{text2} repaired {text}; a {kind} is due by {day}.':
      '{text2} hat {text} repariert; {kind} fällig bis {day}.',
    'The test will be added to the plan.': 'Der Test kommt in den Plan.',
    'Work ended; the controller is updated within a minute or two.':
      'Arbeit beendet; das Steuergerät erfährt es in ein bis zwei Minuten.',
    '{text} ended or cancelled work on this circuit.':
      '{text} hat die Arbeit an diesem Stromkreis beendet oder abgesagt.',
    'Its {kind} is overdue.': 'Überfällig: {kind}.',
    'It has never had a duration test.': 'Er hatte noch nie einen Betriebsdauertest.',
    '{Kind} is overdue: none of its planned tries had a verdict.':
      '{Kind} ist überfällig: keiner der geplanten Versuche ergab ein Urteil.',
    'Withdrawn on {day} by {text} (entry {n}): {words}.':
      'Zurückgezogen am {day} von {text} (Eintrag {n}): {words}.',
    'Recorded: {text} withdrew entry {n}: {words}.':
      'Eingetragen: {text} hat Eintrag {n} zurückgezogen: {words}.',
    '{text} withdrew entry {n}: {words}.': '{text} hat Eintrag {n} zurückgezogen: {words}.',
    'it did not pass.': 'nicht bestanden.',
    'its sensor was open circuit or saturated on battery.':
      'ihr Sensor war auf Batterie unterbrochen oder übersteuert.',
    '{n} mA on battery is below {n2} % of the {n3} mA in the site file.':
      '{n} mA auf Batterie liegt unter {n2} % der {n3} mA in der Anlagendatei.',
    '{n} mA on battery is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA auf Batterie ist mehr als {n2} % der {n3} mA in der Anlagendatei.',
    'its sensor was open circuit or saturated on mains.':
      'ihr Sensor war am Netz unterbrochen oder übersteuert.',
    '{n} mA on mains is below {n2} % of the {n3} mA in the site file.':
      '{n} mA am Netz liegt unter {n2} % der {n3} mA in der Anlagendatei.',
    '{n} mA on mains is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA am Netz ist mehr als {n2} % der {n3} mA in der Anlagendatei.',
    'Settings {n} of this circuit describe, in sensor order: {text}.':
      'Die Einstellungen {n} dieses Stromkreises beschreiben, in der Reihenfolge der Sensoren: {text}.',
  },
};
