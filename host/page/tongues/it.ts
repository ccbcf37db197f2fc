// Italian. Terms as in CEI EN 50172 and CEI EN 62034, from memory: docs/glossary.md.

import { capital } from '../../words/capital';
import type { Words } from './en';
import { saidOfSite } from './itSaidOfSite';
import { site } from './itSite';
import { plurals } from './plurals';

const { count, form, number } = plurals('it-IT');
/** With a decimal only where there is one. */
const percent = (share: number) => number(share, share % 1 === 0 ? 0 : 1);

const NOT_ISOLATION =
  'Un relè aperto non è un sezionamento: verificare l’assenza di tensione prima di lavorare.';
const LIMITED = 'prova di autonomia ridotta (2/3, non la durata intera)';
const LIMITED_TITLE = 'Prova di autonomia ridotta (2/3, non la durata intera)';

const circuits = (n: number) => count(n, 'circuito', 'circuiti');
const lamps = (n: number) => count(n, 'apparecchio', 'apparecchi');
const days = (n: number) => count(n, 'giorno', 'giorni');
const duties = (n: number) => count(n, 'adempimento', 'adempimenti');

export const it: Words = {
  lang: 'it',
  locale: 'it-IT',
  and: ' e ',
  or: ' o ',

  frame: {
    language: 'Lingua',
    pages: 'Pagine',
    skip: 'Vai al contenuto',
    emergencyLighting: 'illuminazione di emergenza',
    tonight: 'Stanotte',
    defects: 'Anomalie',
    year: 'Anno',
    duties: 'Adempimenti',
    log: 'Registro dei controlli',
    reports: 'Rapporti',
    account: 'Account',
    accounts: 'Gli account',
    site: 'Edificio',
    notice: 'Avviso',
    overdue: 'scaduti',
    circuit: (id) => `Circuito ${id}`,
    luminaire: (id) => `Apparecchio ${id}`,
    duty: (title) => `Adempimento ${title}`,
    notFound: 'Pagina non trovata',
    goHome: 'Vai a «Stanotte»',
    loading: 'Caricamento…',
    nothingYet: 'Ancora niente da mostrare',
    stillTrying: 'Si continua a tentare il collegamento.',
    noCircuit: (id) => `Questo edificio non ha un circuito ${id}`,
    noLuminaire: (id) => `Questo edificio non ha un apparecchio ${id}`,
    noDuty: (id) => `Questo edificio non ha un adempimento ${id}`,
    fast: (times) => `, corre ${times} volte più veloce`,
  },

  buildings: {
    all: 'Tutti gli edifici',
    title: (n) => count(n, 'edificio', 'edifici'),
    words: {
      'not served': 'Non servito',
      'in doubt': 'Registro dubbio',
      'supply off': 'Alimentazione assente',
      'supply not proven': 'Alimentazione non provata',
      fault: 'Guasto dell’unità di controllo',
      silent: 'Unità di controllo muta',
      defects: 'Anomalie aperte',
      testing: 'Prova in corso',
      'not known': 'Non noto',
      'in order': 'In ordine',
    },
    building: 'Edificio',
    state: 'Stato',
    newest: 'Ultimo guasto',
    off: 'Alimentazione assente ora',
    next: 'Prossima prova',
    defects: 'Anomalie aperte',
    silent: 'Unità di controllo mute',
    size: (n, luminaires) => `${circuits(n)}, ${lamps(luminaires)}`,
    none: 'Nessuno',
    unproven: (n) => `${count(n, 'non provata', 'non provate')}`,
    forTest: (n) => `${number(n)} per una prova`,
    neverHeard: (n) => `${count(n, 'mai sentita', 'mai sentite')}`,
    waiting: (n) =>
      `${count(n, 'voce', 'voci')} su questo dispositivo ${form(n, 'attende', 'attendono')} che si apra la pagina dell’edificio.`,
    notYours: 'Nessun edificio è visibile per Lei. Chieda un ruolo all’amministratore.',
  },

  banners: {
    notices: 'Avvertenze',
    lost: 'Collegamento perso,',
    lostMore: (heard) =>
      `${heard}. Ciò che vede potrebbe non essere aggiornato. Si continua a tentare il collegamento.`,
    lastHeard: (at, age) => `ultime notizie alle ${at} (${age})`,
    nothingHeard: 'ancora nessuna notizia',
    inDoubt: 'Il registro dei controlli è in dubbio.',
    simulated: 'Centraline simulate.',
    simulatedMore: 'Nessun apparecchio reale viene provato.',
    waiting: (n) => `${count(n, 'registrazione attende', 'registrazioni attendono')} il collegamento.`,
    refused: (n) => `${count(n, 'registrazione è stata rifiutata', 'registrazioni sono state rifiutate')}.`,
    see: (n) => form(n, 'Vederla', 'Vederle'),
  },

  caution: {
    current: 'La corrente di una lampada mostra che è accesa; non è una misura della luce.',
    checks: 'I controlli a vista e le misure fotometriche restano necessari.',
    relay: 'Un relè aperto non è un sezionamento.',
    dead: 'Verificare l’assenza di tensione prima di lavorare.',
    who: (responsible, rules, zone) =>
      `Responsabile dell’illuminazione di emergenza: ${responsible}. Regole: ${rules}. Orari: ${zone}.`,
  },

  root: {
    label: 'Radice del registro dei controlli',
    code: 'Radice come codice',
    head: (origin, size, at) => `Registro ${origin}, fino alla registrazione ${number(size)}, ${at}. Radice:`,
    key: 'Chiave:',
    keep:
      'Conservi questo foglio: con esso chiunque potrà mostrare se una registrazione è stata cambiata ' +
      '(logbook verify --noted).',
    byHand: 'Radice vista e annotata da: ____________________ Data: ____________',
  },

  notice: {
    title: 'Avviso sull’illuminazione di emergenza',
    until: (end) => `fino a ${end}`,
    furtherNotice: 'fino a nuovo avviso',
    from: (start) => `da ${start} `,
    mayFail: (start, end) => `Qui l’illuminazione di emergenza potrebbe non funzionare ${start}${end}.`,
    someFailed: 'Qui alcuni apparecchi di emergenza non funzionano.',
    notKnown: 'Non si sa se qui l’illuminazione di emergenza funziona.',
    someNotKnown: 'Non si sa se qui tutti gli apparecchi di emergenza funzionano.',
    titleMayFail: 'L’illuminazione di emergenza potrebbe non funzionare in alcuni luoghi',
    titleFailed: 'Alcuni apparecchi di emergenza non funzionano',
    titleNotKnown: 'Non si sa se l’illuminazione di emergenza funziona',
    titleSomeNotKnown: 'Non si sa se tutti gli apparecchi di emergenza funzionano',
    titleNothing: 'Nessuna batteria si scarica o si ricarica, e nessuna prova è prevista',
    none: 'Nessun avviso da affiggere.',
    leaveUp: (who) => `Lasciare affisso questo avviso finché non lo toglie: ${who}.`,
    takeDown: (at) => `Da togliere dopo ${at}.`,
    written: (building, at) => `${building}. Scritto ${at}.`,
    print: 'Stampa',
  },

  risk: {
    discharging: 'A batteria',
    recharging: 'In ricarica',
    planned: 'Prevista',
    notKnown: 'Non si sa se tutte le batterie sono cariche',
    nothing: 'Nessuna batteria si scarica o si ricarica',
    tonight: 'Stanotte alcune batterie non saranno cariche',
    now: 'Batterie non cariche',
    toPrint: 'Avviso da stampare e affiggere',
  },

  kinds: {
    '': '',
    brief: 'prova di funzionamento',
    full: 'prova di autonomia',
    limited: LIMITED,
    commissioning: 'prova di messa in servizio',
  },

  phases: {
    starting: 'In avvio',
    charged: 'Carico',
    recharging: 'In ricarica',
    opening: 'Apertura del relè',
    brief: 'Prova di funzionamento',
    full: 'Prova di autonomia',
    limited: LIMITED_TITLE,
    commissioning: 'Prova di messa in servizio',
    restoring: 'Ripristino dell’alimentazione',
    outage: 'Mancanza rete',
    held: 'Prove sospese',
    fault: 'Guasto del dispositivo di prova',
    neverHeard: 'Mai sentita',
    silent: 'Muta',
  },

  verdicts: {
    pass: 'superata',
    fail: 'non superata',
    void: 'nulla',
    open: 'in prova',
    untested: 'mai provato',
  },
  counted: {
    pass: (n) => `${number(n)} con prova superata`,
    fail: (n) => `${number(n)} non superata`,
    void: (n) => `${number(n)} nulla`,
    open: (n) => `${number(n)} in prova`,
    untested: (n) => count(n, 'mai provato', 'mai provati'),
  },
  glow: { lit: 'accesa', dim: 'debole', dark: 'spenta', none: 'nessuna lettura' },
  tests: {
    due: 'prevista',
    running: 'in corso',
    pass: 'superata',
    fail: 'non superata',
    void: 'nulla',
    stopped: 'interrotta',
    'not run': 'non eseguita',
    'not known': 'non noto',
  },
  modes: {
    'non-maintained': 'non permanente (SE)',
    maintained: 'permanente (SA)',
    'switched maintained': 'permanente comandato',
    combined: 'combinato',
  },

  time: {
    secondsAgo: (n) => `${number(n)} s fa`,
    minutesAgo: (n) => `${number(n)} min fa`,
    hoursAgo: (n) => `${number(n)} h fa`,
    daysAgo: (n) => `${days(n)} fa`,
  },

  contact: {
    never: 'Mai sentita',
    silent: (at) => `Muta da ${at}`,
    late: (at) => `In ritardo, ultime notizie ${at}`,
    reporting: (at) => `In contatto, ultime notizie ${at}`,
    recharging: (until) => `Batterie in ricarica fino a ${until}`,
    cannotStart: (why) => `Una prova non può iniziare: ${why}`,
    held: (who, until) => `Prove sospese da ${who} fino a ${until}`,
    attended: (who, until) => `Elettricista al lavoro qui fino a ${until}: ${who}`,
    willAttend: (who, from, until) => `Elettricista al lavoro qui da ${from} fino a ${until}: ${who}`,
    notKnown: 'non noto',
    whenLastHeard: (word) => `non noto; ultimo stato: ${word}`,
    on: 'presente',
    off: 'assente',
    open: 'aperto',
    closed: 'chiuso',
    before: 'Alimentazione a monte del relè',
    after: 'Alimentazione a valle del relè',
    relay: 'Relè',
    controller: 'Centralina',
    senses: (after, relay) => `Alimentazione a valle del relè: ${after}. Relè: ${relay}.`,
  },

  headline: {
    noReports: 'Nessuna centralina ha ancora dato notizie.',
    nothingKnown: (n) => `Nessuna centralina ha ancora dato notizie: nulla si sa di ${circuits(n)}.`,
    several: (n, told) => `${circuits(n)}: ${told}.`,
    one: (n, group) => `${n === 1 ? '' : 'Tutti: '}${circuits(n)} ${group}.`,
    groups: {
      onBattery: () => 'adesso a batteria',
      fault: () => 'con guasto del dispositivo di prova',
      outage: () => 'di ritorno dopo una mancanza rete',
      testing: () => 'in prova',
      recharging: () => 'in ricarica',
      held: () => 'con prove sospese',
      charged: (n) => form(n, 'carico', 'carichi'),
      notKnown: () => 'di stato non noto',
    },
    nothing: 'Nulla richiede attenzione.',
    attention: (luminaires, affected) => {
      const parts = [
        ...(luminaires > 0 ? [lamps(luminaires)] : []),
        ...(affected > 0 ? [circuits(affected)] : []),
      ];
      return `Richiedono attenzione: ${parts.join(' e ')}.`;
    },
    tally: (n, parts) => (parts === '' ? `${lamps(n)}.` : `${lamps(n)}: ${parts}.`),
  },

  tonight: {
    running: 'In corso ora',
    building: 'L’edificio',
    title: 'Prove di stanotte',
    titleOf: (from, to) => `Prove di stanotte: da ${from} a ${to}`,
    next: (from, to) => `Prossima notte di prove: da ${from} a ${to}`,
    nonePlanned: 'Nessuna prova prevista.',
    window: 'Finestra di prova',
    circuit: 'Circuito',
    test: 'Prova',
    state: 'Stato',
    notPassed: (circuit) => `Apparecchi di ${circuit} che non hanno superato la prova`,
    passed: (n, isRest) =>
      isRest
        ? `${count(n, 'altro apparecchio ha', 'altri apparecchi hanno')} superato la prova.`
        : `${count(n, 'apparecchio ha', 'apparecchi hanno')} superato la prova.`,
  },

  attention: {
    title: 'Richiede attenzione',
    next: 'Poi:',
    allDefects: 'Tutte le anomalie: chi se ne occupa, ed entro quando',
    since: (at) => `Da ${at}`,
    sinceDays: (day, n) => `Da ${day}, ${days(n)}`,
    neverHeard: 'Centralina mai sentita',
    notHeard: 'Centralina non sentita dall’avvio dell’host',
    neverHeardNext: 'Controllare alimentazione e rete dati, e che sia stata impostata per questo circuito.',
    silent: 'Centralina muta',
    silentNext:
      'Controllare alimentazione e rete dati della centralina; andare a vedere se la tensione di rete è presente.',
    outage: 'Mancanza rete',
    outageNext: 'Cercare perché manca la tensione di rete.',
    fault: 'Guasto del dispositivo di prova',
    faultNext:
      'Esaminare il dispositivo di prova: relè, sensori, cablaggio. Dopo la riparazione, resettare il guasto.',
    unconfirmed: 'Alimentazione non confermata',
    unconfirmedNext: 'Andare ora sul posto e ripristinare l’alimentazione a mano.',
    failed: 'Apparecchio: prova non superata',
    failedNext: 'Ripararlo, poi segnalare la riparazione nella sua pagina.',
    retestOpen: 'Riparato; la nuova prova è in programmazione.',
    retestAt: (at) => `Riparato; attendere la nuova prova: ${at}.`,
    stopped: 'Prova interrotta',
    stoppers: {
      order: 'qualcuno',
      'key switch': 'interruttore a chiave',
      'stop input': 'allarme incendio o ingresso di arresto',
    },
    stoppedBy: (kind, who, unjudged, luminaires) =>
      `${kind}: interrotta da ${who}. ${unjudged === luminaires ? 'Niente è stato giudicato.' : `${number(unjudged)} di ${count(luminaires, 'apparecchio', 'apparecchi')} non giudicati.`}`,
    againAt: (at) => `Verrà ripetuta: ${at}.`,
    againOpen: 'Il prossimo tentativo è in pianificazione.',
    overdue: (n) => count(n, 'prova in ritardo', 'prove in ritardo'),
    overdueMore: 'Nessuno dei tentativi previsti ha dato un esito.',
    overdueNext: 'La sua pagina dice che cosa attende; oppure avviare la prova mentre qualcuno vi lavora.',
    held: 'Prove ancora sospese',
    heldNext: 'Togliere la sospensione appena finito il lavoro.',
    anew: 'Centralina ripartita con memoria vuota',
    anewMore:
      'La sua memoria è stata cancellata, o è stata sostituita. Ciò che non aveva ancora inviato è perso; ' +
      'impostazioni e piano vengono inviati di nuovo da soli.',
    anewNext: 'Se nessuno l’ha sostituita, farla esaminare. Indicato finché non completa la prossima prova.',
    fullOverdue: 'Prova di autonomia in ritardo',
    fullOverdueMore:
      'L’ultima prova di autonomia è più lontana di quanto le regole permettano. Le prove ridotte non contano.',
    fullOverdueNext:
      'Avviare una prova di autonomia mentre qualcuno vi lavora, o far ampliare le finestre di prova.',
    neverFull: 'Mai una prova di autonomia',
    neverFullMore: 'Le regole chiedono la prima prova di autonomia entro lo stesso termine delle successive.',
    duties: (n) => count(n, 'adempimento scaduto', 'adempimenti scaduti'),
    longest: (duty) => `Da più tempo: ${duty}.`,
    dutiesNext: 'Farlo o farlo fare, e registrarlo.',
    dutiesUnknown: 'Adempimenti non noti',
    dutiesUnknownMore: 'L’host non ha detto che cosa va controllato.',
    dutiesUnknownNext: 'Attendere: viene chiesto di nuovo da solo. Se continua, controllare l’host.',
    findings: (n) => count(n, 'riscontro non sistemato', 'riscontri non sistemati'),
    oldest: (finding) => `Il più vecchio: ${finding}.`,
    findingsNext: 'Far sistemare, poi registrare come in ordine.',
    failedFull: 'non ha superato l’ultima prova di autonomia',
    litFor: (length) => `, acceso per ${length}`,
  },

  circuit: {
    luminaires: 'Apparecchi di emergenza',
    luminaire: 'Apparecchio di emergenza',
    place: 'Luogo',
    mode: 'Modo',
    state: 'Stato',
    lastProven: 'Ultima conferma',
    lastAttempt: 'Ultimo tentativo',
    lastFull: 'Ultima prova di autonomia',
    facts: (floor, areas, rated) => `${floor}. Zone: ${areas}. Autonomia nominale ${rated}.`,
    shared: 'Il relè spegne anche l’illuminazione ordinaria, perciò apre solo quando la zona è vuota.',
    lastFullOn: (last, due) =>
      `L’ultima prova di autonomia è del ${last}; la prossima va fatta entro il ${due}.`,
    noFull: 'Nessuna prova di autonomia è registrata.',
    limited: 'Qui sono previste prove ridotte (2/3) perché vi sono sempre persone presenti.',
    limitedMore: 'La prova di autonomia resta dovuta, salvo che la regola locale accetti quella ridotta.',
    orders: 'Comandi',
    now: 'Ora',
    log: 'Registro dei controlli di questo circuito',
  },

  running: {
    label: (circuit) => `Prova in corso ${circuit}`,
    notStarted: 'Non ancora iniziata',
    of: (length) => `di ${length}`,
    soFar: (circuit) => `Prova di ${circuit} finora`,
    lamps: 'Apparecchi in prova',
    lampsOf: (circuit) => `Apparecchi di ${circuit} in prova`,
    curve: (lines, failed) =>
      `Correnti delle lampade finora, in percentuale del valore di messa in servizio, ${number(lines)} linee, prove non superate: ${number(failed)}`,
    caption: (floor) =>
      'Corrente delle lampade durante la prova, da quando questa pagina è stata aperta. Linea sottile: 100 % della ' +
      `corrente di messa in servizio. Linea tratteggiata: ${number(floor)} %, il minimo per contare come accesa.`,
    restoring: 'Ripristino dell’alimentazione…',
    tryRestore: 'Provare a ripristinare l’alimentazione',
    hostLost:
      'Nessun contatto con l’host: premere potrebbe non servire. All’interruttore a chiave del circuito girare la chiave ' +
      'per 5 s e riportarla indietro: la prova finisce, l’alimentazione torna.',
  },

  lamp: {
    nothingYet: 'ancora niente',
    noneYet: 'ancora nessuno',
    same: 'lo stesso',
    lit: (verdict, length, at) => `${verdict}, acceso ${length}, ${at}`,
  },

  luminaire: {
    more: (mode, rated, chemistry, fitted) =>
      `Modo: ${mode}. Autonomia nominale ${rated}. Batteria ${chemistry}, montata ${fitted}.`,
    state: 'Stato',
    lasts: (proven, attempt) => `Ultima conferma: ${proven}. Ultimo tentativo: ${attempt}`,
    diagnosis: 'Diagnosi:',
    outlook: 'Previsione della batteria:',
    notTested: 'Non provato dopo la riparazione:',
    curves: 'Curve di scarica, anno per anno',
    noCurve: 'Nessuna prova di autonomia ha ancora registrato una curva.',
    curvesLabel: (n, minutes) =>
      `Curve di scarica di ${count(n, 'prova di autonomia', 'prove di autonomia')}, autonomia nominale ${number(minutes)} minuti; descritte sotto`,
    litFor: (length) => `acceso per ${length}`,
    litToEnd: 'acceso fino alla fine',
    below: (floor, length) => `sotto ${number(floor)} % dopo circa ${length}`,
    curveKey: (day, lit, bound) => `${day}: ${lit}, curva esatta a ± ${number(bound)} %`,
    minimum: (floor) => `Valore minimo, ${number(floor)} %`,
    rated: (minutes) => `nominale ${number(minutes)} min`,
    minutes: 'Minuti a batteria',
    percent: '% della corrente di messa in servizio',
    results: 'Risultati',
    noResults: 'Non ancora provato.',
    when: 'Quando',
    test: 'Prova',
    verdict: 'Esito',
    lit: 'Acceso per',
    at5: 'a 5 s',
    at60: 'a 60 s',
    atEnd: 'alla fine',
    entry: 'Registrazione',
    baseline: 'Corrente di messa in servizio',
    onBattery: (battery) => `${number(battery)} mA a batteria`,
    onBoth: (battery, mains) => `${number(battery)} mA a batteria, ${number(mains)} mA in rete`,
    judged: 'Giudicato rispetto a',
    fromSite: ', dal file del sito.',
    expected: ', dal file del sito; solo attesa, nessuno l’ha misurata.',
    acceptedBy: (who, day, site) => `, accettata da ${who} il ${day} (file del sito: ${site}).`,
    measured: (day, currents) => `Misurata nell’ultima prova completa, ${day}: ${currents}.`,
    notMeasured: 'Nessuna prova completa l’ha ancora misurata.',
    cannotAccept: 'Questi valori non possono essere accettati.',
    defects: (n) => form(n, 'Anomalia', 'Anomalie'),
  },

  orders: {
    sending: 'Invio…',
    choose: 'Scegliere…',
    yourName: 'Il Suo nome',
    dismiss: 'Nascondi',
    nameMissing: 'Scriva il Suo nome: il registro dei controlli annota chi ha dato il comando.',
    nameLong: (most) => `Usi al massimo ${number(most)} caratteri.`,
    nameLetters: 'Usi lettere, cifre e punteggiatura: niente " o \\, e nessun carattere invisibile.',
    forHowLong: 'Per quanto tempo',
    howMuch: 'Di quanto',
    whichTest: 'Quale prova',
    chooseTest: 'Scelga quale prova.',
    whatDone: 'Che cosa è stato fatto',
    chooseDone: 'Scelga che cosa è stato fatto: da questo dipende quale prova segue.',
    hours: (n) => count(n, 'ora', 'ore'),
    days,
    minutes: (n) => count(n, 'minuto', 'minuti'),
    parts: {
      battery: 'Batteria sostituita',
      lamp: 'Lampada sostituita',
      'driver or charger': 'Alimentatore o caricabatteria sostituito',
      'whole luminaire': 'Intero apparecchio sostituito',
      other: 'Altro, per esempio un contatto allentato',
    },
    cost: (off, recharge) =>
      `L’alimentazione sarà staccata per ${off}, poi le batterie si ricaricano per ${recharge}.`,
    notIsolation: NOT_ISOLATION,
    restore: {
      button: 'Ripristinare subito l’alimentazione',
      consequence: 'L’alimentazione torna subito. Questa prova è nulla e verrà ripetuta.',
      yes: 'Sì, ripristinare subito l’alimentazione',
      no: 'No, lasciare proseguire la prova',
    },
    'clear fault': {
      button: 'Resettare il guasto',
      consequence:
        'Solo quando il relè e il suo cablaggio sono riparati e verificati: la centralina riprenderà da sola le prove ' +
        'e staccherà l’alimentazione.',
      yes: 'Sì, riparato: resettare il guasto',
      no: 'No, lasciare così',
    },
    hold: {
      button: 'Sospendere le prove',
      consequence:
        'Su questo circuito nessuna prova inizia finché il tempo non è scaduto o la sospensione non viene tolta. Una ' +
        'prova in corso finisce subito ed è nulla.',
      yes: 'Sì, sospendere le prove',
      no: 'No, continuare le prove',
    },
    release: {
      button: 'Togliere la sospensione',
      consequence:
        'Solo a lavoro finito: nella finestra di prova le prove ricominciano da sole e staccano l’alimentazione.',
      yes: 'Sì, togliere la sospensione',
      no: 'No, mantenere la sospensione',
    },
    test: {
      button: 'Avviare ora una prova',
      consequence:
        'L’alimentazione di questi apparecchi viene staccata appena la centralina lo permette. Se rifiuta, dice perché.',
      yes: 'Sì, avviare la prova',
      no: 'No, annulla',
    },
    extend: {
      button: 'Prolungare per un giro',
      consequence:
        'L’alimentazione resta staccata più a lungo, e poi le batterie hanno bisogno di una ricarica completa.',
      yes: 'Sì, prolungare la prova',
      no: 'No, finire come previsto',
    },
    attend: {
      button: 'Lavoro qui',
      consequence:
        'Le prove di questo circuito possono ora essere avviate a richiesta, anche di giorno, ma solo nei suoi giorni: ' +
        'circuiti vicini non vengono mai provati insieme.',
      yes: 'Sì, lavoro qui',
      no: 'No, annulla',
    },
    acceptAll: {
      button: 'Accettare tutte le correnti misurate',
      consequence:
        'D’ora in poi gli apparecchi di questo circuito sono giudicati secondo le correnti misurate. Prima li guardi uno per ' +
        'uno: devono essere luminosi, puliti e intatti. Una lampada debole, una volta accettata, non viene più segnalata.',
      yes: 'Sì, accettare tutte',
      no: 'No, lasciare',
    },
    accept: {
      button: 'Accettare le correnti misurate',
      consequence:
        'D’ora in poi questo apparecchio è giudicato rispetto alle correnti misurate. Prima lo guardi: deve essere ' +
        'luminoso, pulito e integro. Una lampada debole, una volta accettata, non viene più segnalata.',
      yes: 'Sì, accettare',
      no: 'No, lasciare così',
    },
    repaired: {
      button: 'Segnalare una riparazione',
      consequence:
        'Solo a lavoro finito: la riparazione entra nel registro dei controlli e l’apparecchio viene provato di nuovo ' +
        'nella finestra di prova, staccando l’alimentazione del suo circuito. Solo una prova superata chiude l’anomalia.',
      yes: 'Sì, segnalare la riparazione',
      no: 'No, non ancora',
    },
    leave: {
      button: 'Me ne vado',
      consequence: 'Fuori dalla finestra di prova non si possono più avviare prove a richiesta.',
      yes: 'Sì, me ne vado',
      no: 'No, ancora qui',
    },
  },

  progress: {
    accepted: 'comando accettato.',
    notAccepted: 'comando non accettato.',
    recorded: 'riparazione registrata.',
    notRecorded: 'riparazione non registrata.',
    noAnswer: 'nessuna risposta al comando.',
    soFar: (sentence) => `Finora: ${sentence}`,
    waiting: (why) => `In attesa: ${why}`,
    waitingResult: 'Si attende il risultato.',
    waitingSupply: 'si attende il ritorno dell’alimentazione…',
    back: 'l’alimentazione è tornata.',
    alreadyBack: 'l’alimentazione è già tornata.',
    restored: 'l’alimentazione è stata ripristinata.',
    notBack: 'l’alimentazione NON è tornata.',
    waitingTest: 'Si attende il risultato della prova.',
    stopped: (who, at) => `${who} ha interrotto la prova alle ${at}.`,
    nothingJudged: 'Niente è stato giudicato.',
    again: 'La prova verrà ripetuta.',
    againAt: (at) => `La prova verrà ripetuta: ${at}.`,
    testedSince: 'Da allora è stato provato; il suo stato è nella sua pagina.',
    retestAt: (at) => `La nuova prova è prevista: ${at}.`,
    retestOpen: 'La nuova prova è in programmazione.',
    silent: 'Non si sa che cosa ne è stato: la centralina è muta.',
    held: (held) => `Fatto: ${held}.`,
    onHold: 'prove sospese',
    notHeld: 'Non ancora sospese.',
    stillHeld: 'Ancora sospese.',
    done: (sentence) => `Fatto. ${sentence}`,
    notCleared: 'Il guasto non è ancora resettato.',
    result: (text) => `Risultato: ${text}`,
    notShown: 'Il registro dei controlli non mostra ancora se la centralina ha ricevuto il comando.',
  },

  defects: {
    title: (n, lamps, unproven) => {
      const told = n === 0 ? 'Nessuna anomalia aperta' : count(n, 'anomalia aperta', 'anomalie aperte');
      const parts = [
        ...(lamps > 0 ? [count(lamps, 'apparecchio', 'apparecchi')] : []),
        ...(unproven > 0 ? [count(unproven, 'circuito', 'circuiti')] : []),
      ];
      const proven = form(lamps + unproven, 'confermato', 'confermati');
      return parts.length === 0 ? told : `${told}, ${parts.join(' e ')} non ${proven}`;
    },
    overdue: (n) => count(n, 'scaduta', 'scadute'),
    toRetest: (n) => count(n, 'riparata e da riprovare', 'riparate e da riprovare'),
    ownerless: (n) => `${number(n)} senza incaricato`,
    open: 'Aperta',
    closed: 'Chiusa',
    retestDue: 'Nuova prova da fare',
    notProven: 'Non confermato',
    late: 'Scaduta',
    more: (n) => `Mostrane altre ${number(n)}`,
    all: (n) => `Mostrale tutte (${number(n)})`,
    closedRange: (from, to, all) => `Chiuse, da ${number(from)} a ${number(to)} di ${number(all)}`,
    newer: 'Più recenti',
    older: 'Più vecchie',
    forgotten: (n) => `${count(n, 'più vecchia è', 'più vecchie sono')} solo nel registro dei controlli.`,
    openThenClosed: (n, day, entry) =>
      `Rimasta aperta ${days(n)}, chiusa il ${day} dalla prova superata della registrazione ${entry}.`,
    nobodyKnows: 'Nessuno sa da quando.',
    openSince: (n, day) => `Aperta da ${days(n)}, dal ${day}.`,
    notProvenSince: (n, day) => `Non confermato da ${days(n)}, dal ${day}.`,
    notClosedSince: (n, day) => `Non chiusa da ${days(n)}, dal ${day}.`,
    fails: (n) => `${count(n, 'prova non superata', 'prove non superate')}.`,
    cameBack: (n) => `Tornata ${count(n, 'volta', 'volte')} dopo essere stata chiusa.`,
    noDate: 'nessuna data',
    overdueBy: (date, n) => `${date}, scaduta da ${days(n)}`,
    repaired: 'riparato',
    ownerAndDate: 'Incaricato e data',
    of: (what) => ` di ${what}`,
    noTestNow: 'Sul posto, nessuna prova ora:',
    ready: (kind) => `Pronto per la nuova prova, da avviare ora: ${kind}.`,
    sayFirst: 'Prima segnali che lavora qui.',
    owner: 'Incaricato',
    nobody: 'ancora nessuno',
    due: 'Scadenza',
    interim: 'Fino ad allora',
    noInterim: 'nessuna misura provvisoria registrata',
    remark: 'Osservazione',
    lastRepair: 'Ultima riparazione',
    next: 'Poi:',
    report: (luminaire) => `Segnalare la riparazione di ${luminaire}`,
    whoSees: 'Chi se ne occupa',
    protectedBy: 'Fino ad allora le persone sono protette da',
    enter: 'Registrare',
    cancel: 'Annulla',
  },

  duties: {
    marks: { 'in order': 'In ordine', 'not in order': 'Non in ordine', 'not applicable': 'Non si applica' },
    intro:
      'Nessuna prova vede lo sporco, un segnale nascosto o un apparecchio mancante. Le persone li vedono.',
    overdueAndDue: (overdue, due) =>
      `${count(overdue, 'adempimento scaduto', 'adempimenti scaduti')}, ${number(due)} da fare oggi.`,
    overdue: (n) => `${count(n, 'adempimento scaduto', 'adempimenti scaduti')}.`,
    dueToday: (n) => `${duties(n)} da fare oggi.`,
    nothingDue: 'Oggi non c’è niente da fare.',
    done: 'fatto',
    today: 'da fare oggi',
    overdueSince: (n, date) => `scaduto da ${days(n)}, scadenza ${date}`,
    dueIn: (n, date) => `da fare entro ${days(n)}, ${date}`,
    dueOn: (date) => `scadenza ${date}`,
    every: (every, by) => `${capital(every)}, a cura di ${by}.`,
    last: (day, who) => `Ultima volta il ${day}, ${who}.`,
    never: 'Mai registrato.',
    left: (ids, more) => `Ancora da vedere: ${ids}${more > 0 ? ` e altri ${number(more)}` : ''}.`,
    enter: 'Registrare',
    doneBy: (title, at, who) => `${title}, fatto ${at} da ${who}.`,
    refuses: 'L’host la rifiuta:',
    sendAgain: 'Inviare di nuovo',
    notTaken: 'Non ancora accettata:',
    all: 'Tutto ciò che è stato scritto',
    remove: 'Toglierla da questo dispositivo',
    outgoing: 'Registrazioni su questo dispositivo',
    onDevice: 'Su questo dispositivo, non ancora nel registro dei controlli',
    nothingLost: 'Niente va perso se chiude la pagina.',
    whole: 'Tutto l’edificio',
    area: (name) => `Zona: ${name}`,
    circuit: (id, name) => `Circuito ${id}: ${name}`,
    unanswered: (n) => `${count(n, 'punto è', 'punti sono')} ancora senza risposta.`,
    sayWhat: (asked) => `Dica che cosa non è in ordine, o quale apparecchio: «${asked}»`,
    tooLong: (most, start) => `Usi al massimo ${number(most)} caratteri: «${start}…»`,
    entryTooLong:
      'La registrazione è troppo lunga. Nomini meno apparecchi, scriva di meno, o registri una parte dell’edificio ' +
      'dopo l’altra.',
    nameMissing: 'Scriva il Suo nome: il registro dei controlli annota chi ha guardato.',
    whenMissing: 'Indichi giorno e ora in cui è stato fatto.',
    notYet: 'Quel momento non è ancora venuto.',
    notSo: (asked) => `non è così: ${asked}`,
    doneNow: 'Fatto: ora.',
    wasEarlier: 'È stato prima',
    whenDone: 'Quando è stato fatto, nell’ora dell’edificio',
    whichPart: 'Quale parte',
    restInOrder: 'Tutti gli altri sono in ordine',
    anythingElse: 'Altro',
    storing: 'Salvataggio…',
    enterLog: 'Registrare nel registro dei controlli',
    offline: 'Senza collegamento resta su questo dispositivo e viene inviata appena ce n’è uno.',
    written: 'Dove è scritto',
    practice: 'Dove la fonte non li elenca, i punti sono pratica comune.',
    takeAway: 'togliere',
    whichLuminaires: 'Quali apparecchi',
    noneNamed: 'Nessuno indicato; scegliere…',
    oneMore: 'Un altro…',
    whatFound: 'Che cosa è stato trovato',
    found: 'Trovato da persone, e da allora non registrato come in ordine',
    foundBy: (who, day) => `Trovato da ${who}, dal ${day}.`,
    cannotStore: (why) => `Questo dispositivo non può salvare la registrazione: ${why}`,
    cannotRead: (why) => `Ciò che attende su questo dispositivo non può essere letto: ${why}`,
    strange: 'Qualcosa fra questo dispositivo e l’host risponde al suo posto.',
  },

  log: {
    filter: 'Filtro',
    circuit: 'Circuito',
    allCircuits: 'Tutti i circuiti',
    kind: 'Tipo',
    allKinds: 'Tutti i tipi',
    record: 'Registrazione',
    number: (n) => `n. ${n}`,
    hash: 'Impronta',
    showOlder: 'Mostrare le registrazioni più vecchie',
    marks: { pass: 'superata', fail: 'non superata', void: 'nulla', alarm: 'allarme', note: 'nota' },
    kinds: {
      failed: 'Prova non superata',
      result: 'Risultato di prova',
      intent: 'Prova iniziata',
      fault: 'Guasto o allarme',
      cleared: 'Guasto resettato',
      outage: 'Mancanza rete',
      supply: 'Allarme alimentazione',
      charge: 'Ricarica',
      held: 'Prove sospese',
      reminder: 'Ancora sospese',
      released: 'Sospensione tolta',
      overdue: 'Prova in ritardo',
      order: 'Comando alla centralina',
      refused: 'Comando rifiutato',
      ordered: 'Comando inviato',
      answered: 'Risposta a un comando',
      kept: 'Messo da parte',
      clock: 'Orologio regolato',
      chip: 'Circuito dell’orologio',
      start: 'Avvio della centralina',
      attended: 'Elettricista al lavoro',
      baseline: 'Correnti delle lampade accettate',
      repaired: 'Riparazione',
      defect: 'Chi si occupa di un’anomalia',
      inspection: 'Visto da persone',
      withdrawn: 'Registrazione ritirata',
      site: 'Sito modificato',
      account: 'Account',
      listed: 'Apparecchi di un circuito',
    },
    withdraw: {
      open: 'Registrato per errore? Ritirare',
      of: (n) => `registrazione ${n}`,
      form: (n) => `Ritirare la registrazione ${n}`,
      what:
        'Resta nel registro come ritirata. Ciò che ha prodotto finisce: una riparazione non richiede più una prova, ' +
        'un giro non è stato fatto.',
      why: 'Perché',
      noWhy: 'Dica perché viene ritirata.',
      send: 'Ritirare',
      noAnswer: 'Nessuna risposta dall’host: ricarichi la pagina per vedere se la registrazione è ritirata.',
    },
    brokenAt: (entry) => `Catena interrotta alla registrazione ${entry}.`,
    broken: 'Catena interrotta.',
    keepFile: 'Lasci il file com’è ed esegua «logbook verify» per tutto ciò che non va.',
    checkedTo: (checked, all) => `Catena verificata finora alla registrazione ${checked} di ${all}`,
    restChecked: 'Il resto è in corso di verifica.',
    validNone: 'Catena valida, ancora nessuna registrazione',
    valid: (range) => `Catena valida, ${range}`,
    checkedAt: (at) => `Verificata ${at}. Firme e file stesso li verifica «logbook verify».`,
    entry: (n) => `registrazione ${n}`,
    entries: (from, to) => `registrazioni da ${from} a ${to}`,
    notLooked: (before) => `Le registrazioni prima di ${before} non sono state esaminate.`,
    noneOfKind: 'Nessuna registrazione di questo tipo.',
    noneFound: 'Nessuna trovata.',
    shown: (n, range) => `Mostrate qui: ${n}, ${range}.`,
    shownOf: (n, all, range) => `Mostrate qui: ${n} di ${all}, ${range}.`,
    shownAll: (all) => `Mostrate qui: tutte, ${all}.`,
  },

  year: {
    brief: 'Prova di funzionamento',
    full: 'Prova di autonomia',
    limited: LIMITED_TITLE,
    recharge: 'Ancora in ricarica il giorno dopo',
    under: (hours) => `Esposizione sotto ${number(hours)} h`,
    between: (from, to) => `Esposizione da ${number(from)} a ${number(to)} h`,
    more: (hours) => `Esposizione di ${number(hours)} h o più`,
    key: 'Legenda',
    nothing: (month) => `Niente è previsto in ${month}.`,
    previous: 'Precedente',
    previousMonth: 'Mese precedente',
    next: 'Successivo',
    nextMonth: 'Mese successivo',
    month: 'Mese',
    plannedTo: (day, exposure) =>
      `Previsto fino a ${day}. Esposizione ${exposure}: ore in cui vi sono persone in una zona, per la quota dei suoi ` +
      'apparecchi che non sono pronti.',
    calendar: 'Calendario del piano',
    calendarMore: ': abbonarsi a questo link in un’app di calendario.',
    calendarToken:
      'Un’app di calendario non può identificarsi: un amministratore crea una chiave per lei, in Gli account.',
    facts:
      'Una notte va da mezzogiorno a mezzogiorno ed è mostrata sotto il giorno in cui inizia. Ogni prova è mostrata ' +
      'alla sua prima occasione; se allora non può avvenire, passa a una notte successiva.',
    byMonth: 'Mese per mese',
    byNight: (month) => `${month}, notte per notte`,
    underTenth: `sotto ${number(0.1, 1)} h`,
    hours: (n) => `${number(n, 1)} h`,
    marks: {
      brief: 'prova di funzionamento',
      full: 'prova di autonomia',
      limited: 'prova di autonomia ridotta (2/3)',
      commissioning: 'prova di messa in servizio',
      recharge: 'ricarica',
    },
    on: (mark, list) => `${mark} il ${list}`,
    row: (circuit, told) => `${circuit}: ${told}.`,
    rowNothing: 'niente di previsto',
    inDark: ', al buio',
    inDaylight: ', alla luce del giorno',
    exposure: (hours) => `Esposizione ${hours}.`,
    fullAgain: (at) => `batterie di nuovo cariche ${at}`,
    rechargingAfter: (kind, full) => `in ricarica dopo: ${kind}, ${full}.`,
  },

  floor: {
    title: 'Pianta',
    plans: 'Piante',
    states: 'Stati',
    trouble: 'Circuiti in difficoltà',
    none: 'Nessuna pianta',
    noneMore:
      'Questo edificio non ne ha ancora. Il suo file del sito può indicare immagini, e dove vi sta ogni apparecchio.',
    noPlan: (id) => `Questo edificio non ha una pianta ${id}`,
    onPlan: 'Sulla pianta',
    notPlaced: 'Non collocati',
    lamps: 'Apparecchi sulla pianta',
    picture: (name) => `Pianta: ${name}`,
    noPicture: 'L’immagine di questa pianta non può essere mostrata. L’elenco è completo anche senza;',
    noPictureMore: 'dice che cosa non va nell’immagine.',
    words: (placed, missing) =>
      `${lamps(placed)} sulla pianta${missing === 0 ? '' : `, ${count(missing, 'non collocato', 'non collocati')}`}.`,
    lamp: {
      fail: 'non superata',
      'not known': 'non noto',
      'retest due': 'nuova prova da fare',
      'under test': 'in prova',
      void: 'nulla',
      untested: 'mai provato',
      pass: 'superata',
    },
    inTest: 'nella prova in corso',
    notTestedSince: 'riparato, e non provato da allora',
    neverHeard: 'la sua centralina non ha mai dato notizie',
    silent: (verdict) => `la sua centralina è muta; ultimo risultato: ${verdict}`,
  },

  placing: {
    start: 'Collocare gli apparecchi',
    how: 'Scelga un apparecchio, poi faccia clic sul suo posto nella pianta.',
    which: 'Apparecchio',
    choose: 'Sceglierne uno',
    changed:
      'Niente è stato salvato: il file del sito è stato cambiato da quando ha iniziato. Salvi ancora una volta per ' +
      'mettere questi posti nel file attuale.',
    forFile: 'Per il file del sito',
    toWrite: 'Che cosa scrivervi per ogni apparecchio:',
    form: 'Salvare i posti',
    saving: 'Salvataggio…',
    save: (n) => `Salvare ${count(n, 'posto', 'posti')}`,
    spot: (across, down) => `${percent(across)} % da sinistra, ${percent(down)} % dall’alto`,
    notYet: 'non ancora sulla pianta',
    noneChosen: 'Nessun apparecchio è scelto.',
    byKeys: (id) => `Spostare ${id} con i tasti freccia`,
    takeOff: (id) => `Togliere ${id} dalla pianta`,
    stop: 'Smettere di collocare',
    stopUnsaved: 'Smettere senza salvare',
    unanswered:
      'Nessuna risposta dall’host: può essere stato salvato oppure no. Ricarichi la pagina e guardi prima di ripetere.',
  },

  reports: {
    intro:
      'Ogni risultato di un periodo, ciò che era in ritardo o manca, e ciò che è guasto: come attestato di ' +
      'prova da stampare, firmare e archiviare (PDF), o come tabella. I rapporti sono in inglese.',
    label: 'Rapporto',
    first: 'Primo giorno',
    last: 'Ultimo giorno',
    paper: 'Carta',
    letter: 'Lettera US',
    making: 'In preparazione…',
    makePdf: 'Creare l’attestato (PDF)',
    makeTable: 'Creare la tabella',
    makeOwn: 'I suoi ultimi dodici mesi come PDF',
    made: (name) => `Creato: ${name}`,
    giveDates: 'Indichi il primo e l’ultimo giorno.',
    wrongOrder: 'L’ultimo giorno viene prima del primo.',
  },

  labels: {
    title: 'Etichette',
    intro:
      'Una per ogni apparecchio, con un codice che apre la sua pagina. Da stampare al 100 %, senza adattare alla pagina. ' +
      'Le etichette sono in inglese.',
    address: 'Indirizzo al quale i telefoni aprono questa pagina',
    ownMachine: 'Questo indirizzo si apre solo sulla macchina dell’host, su nessun telefono.',
    sheet: 'Fogli',
    sheets: {
      'a4 3x8': 'A4, 24 etichette di 70 × 37 mm',
      'a4 3x7': 'A4, 21 etichette di 63,5 × 38,1 mm',
      'letter 2x5': 'Lettera US, 10 etichette di 4 × 2 pollici',
    },
    make: 'Creare le etichette',
  },

  host: {
    silent: 'L’host non risponde. Controlli che sia in funzione e che questo dispositivo sia nella sua rete.',
    nothingHere: 'L’host non ha nulla a questo indirizzo. Controlli l’indirizzo.',
    failed: (status) => `L’host non ha potuto rispondere (${status}). Riprovi fra un momento.`,
    noAnswer:
      'Nessuna risposta dall’host: il comando può essere arrivato oppure no. Osservi il circuito; se l’alimentazione ' +
      'resta staccata, usi l’interruttore a chiave.',
    noReport: 'L’host non ha risposto. Controlli che sia in funzione, e riprovi.',
    reportFailed: (status) => `L’host non ha potuto creare il rapporto (${status}).`,
  },

  signIn: {
    stranger: (id) => `L’accesso è come ${id}, senza ruolo in questo edificio.`,
    title: 'Accedi',
    account: 'Nome dell’account',
    password: 'Parola d’accesso',
    send: 'Accedi',
    sending: 'Accesso in corso…',
    show: 'Mostra la parola d’accesso',
    haveCode: 'Ho un codice monouso',
    code: 'Codice monouso',
    newPassword: 'Nuova parola d’accesso',
    rule: (least) =>
      `${least} caratteri o più. Non il Suo nome né quello dell’edificio. Vanno bene quattro parole a caso.`,
    choose: 'Salva la parola d’accesso e accedi',
    first: 'Crei il Suo account (il primo)',
    firstHow:
      'Il codice è sullo schermo della macchina dell’host. Le minuscole vanno bene, i trattini non servono.',
    firstAccount: 'Account, un nome breve a scelta, p. es. mick',
    fullName: 'Nome completo, come nel registro',
    forgotten: 'Dimenticata? Un amministratore può darLe un codice monouso.',
    forgottenByAll:
      'È l’unico amministratore? Si crei un codice monouso sulla macchina dell’host, nella sua cartella:',
    forgottenSimulated:
      'La dimostrazione non conserva gli account: la riavvii sulla macchina dell’host e usi il codice che mostra.',
    trust: 'Il browser avverte? In un edificio faccia prima questo.',
    trustHow: 'Come rendere attendibile questa pagina',
    notice: 'Avviso per tutti nell’edificio',
    ended: 'La sessione è terminata; acceda di nuovo. Nulla di ciò che ha inserito è perso.',
    gone: 'Qui non c’è più alcun account: crei il Suo con il codice sullo schermo dell’host.',
    notRestored: (circuit) =>
      `L’alimentazione di ${circuit} NON è stata ripristinata. Acceda: l’ordine viene dato subito.`,
    waits: 'Resta su questo dispositivo finché non accede.',
    enteredBy: (name) => `Inserito da ${name}.`,
    onceMore: 'Questo toglie l’alimentazione. Inserisca ancora una volta la parola d’accesso.',
    noAnswer: 'L’host non risponde. Controlli che sia in funzione e riprovi.',
  },

  account: {
    is: (id, role) => `Il Suo account è ${id}, con il ruolo: ${role}.`,
    signOut: 'Esci',
    everywhere: 'Esci da tutti i dispositivi',
    change: 'Cambia la parola d’accesso',
    old: 'Parola d’accesso attuale',
    others: 'Tutti gli altri dispositivi vengono così disconnessi.',
  },

  accounts: {
    noRole: 'Nessun ruolo',
    none: 'Non ci sono ancora account: chi raggiunge questa pagina può fare tutto. Ne crei uno con «nightproof accounts add» sulla macchina dell’host.',
    notYours: 'Solo un amministratore vede gli account.',
    roles: {
      viewer: 'sola lettura',
      electrician: 'elettricista',
      'responsible person': 'persona responsabile',
      administrator: 'amministratore',
    },
    states: {
      active: 'attivo',
      disabled: 'bloccato',
      'has no password yet': 'ancora senza parola d’accesso',
    },
    role: 'Ruolo',
    giveRole: 'Assegna questo ruolo',
    giveCode: 'Annulla la parola d’accesso, dai un codice',
    disable: 'Blocca',
    enable: 'Sblocca',
    make: 'Crea un account',
    short: 'Account, p. es. anna',
    codeFor: (id) => `Codice monouso per ${id}:`,
    codeOnce: 'Viene mostrato solo ora e vale una settimana.',
  },

  tokens: {
    title: 'Chiavi di accesso per programmi',
    what: 'Un programma di calendario o di sorveglianza non può identificarsi. Una chiave gli permette una sola cosa, e mai un ordine che aziona un relè.',
    name: 'A che cosa serve, p. es. calendario della portineria',
    scope: 'Permette al programma di',
    scopes: {
      calendar: 'leggere il calendario',
      metrics: 'leggere i numeri per Prometheus',
      read: 'leggere tutto',
      trace: 'ordinare una registrazione',
    },
    states: {
      active: 'attiva',
      expired: 'scaduta',
      withdrawn: 'ritirata',
      'its maker is disabled': 'l’account che l’ha creata è bloccato',
      'its maker is no administrator': 'l’account che l’ha creata non è amministratore',
      'the clock is behind': 'l’orologio dell’host è indietro',
    },
    days: 'Valida, in giorni',
    make: 'Crea una chiave',
    withdraw: 'Ritira la chiave',
    until: (day) => `Valida fino a ${day}.`,
    neverUsed: 'Mai usata.',
    lastUsed: (day) => `Usata l’ultima volta il ${day}.`,
    secret: 'La chiave:',
    secretOnce: 'Viene mostrata solo ora. Chi la possiede può fare ciò a cui serve.',
    address: 'Abbonare il programma di calendario a questo indirizzo:',
    addressOnce:
      'Viene mostrato solo ora. Chi lo vede può leggere il calendario: non lo mandi a nessuno, e ritiri la chiave se qualcuno l’ha avuto.',
  },

  passkeys: {
    title: 'Passkey',
    what: 'Con una passkey si entra qui con il blocco del proprio dispositivo, senza parola d’accesso. Non si può cedere né digitare su una pagina falsa.',
    name: 'Quale dispositivo, p. es. il mio telefono',
    add: 'Aggiungi una passkey',
    remove: 'Togli',
    removeOf: (name) => `Togli la passkey ${name}`,
    use: 'Entra con una passkey',
    none: 'Il dispositivo non ha dato alcuna passkey per questa pagina. Riprovare, o entrare con la parola d’accesso.',
  },

  site,

  said: {
    ...saidOfSite,
    'The lamp was not lit 5 s after the supply was cut.':
      'La lampada non era accesa 5 s dopo il distacco dell’alimentazione.',
    'The lamp was lit at 5 s but below half its commissioned current.':
      'La lampada era accesa a 5 s, ma sotto la metà della sua corrente di messa in servizio.',
    'The lamp had not reached full commissioned current at 60 s.':
      'A 60 s la lampada non aveva raggiunto la piena corrente di messa in servizio.',
    'The lamp went out before its rated duration was up.':
      'La lampada si è spenta prima della fine della sua autonomia nominale.',
    'The lamp is lit on mains but should be dark.': 'La lampada è accesa in rete ma dovrebbe essere spenta.',
    'The lamp is dark on mains but should be lit.': 'La lampada è spenta in rete ma dovrebbe essere accesa.',
    'The lamp flickers: on average it gave too little current, though not all the time.':
      'La lampada sfarfalla: in media ha assorbito troppo poca corrente, anche se non sempre.',
    'The lamp current did not change when the supply was cut: it may be fed from another circuit.':
      'La corrente della lampada non è cambiata al distacco dell’alimentazione: forse è alimentata da un altro circuito.',
    'The sensor reads more than one and a half times the commissioned current: another lamp may be on it.':
      'Il sensore legge più di una volta e mezza la corrente di messa in servizio: forse vi è collegata un’altra lampada.',
    'Every luminaire had a verdict before the time was up, so the test ended early.':
      'Ogni apparecchio aveva un esito prima della fine del tempo, perciò la prova è finita prima.',
    'The batteries have drawn no charging current since the supply came back.':
      'Le batterie non hanno assorbito corrente di carica da quando l’alimentazione è tornata.',
    'The charging current had not fallen by the end of the recharge time.':
      'Alla fine del tempo di ricarica la corrente di carica non era calata.',
    'The test ran to the end.': 'La prova è arrivata fino in fondo.',
    'A mains failure interrupted the test; the result is void.':
      'Una mancanza rete ha interrotto la prova; il risultato è nullo.',
    'Someone ordered the supply to be restored.': 'Qualcuno ha comandato di ripristinare l’alimentazione.',
    'The fire alarm or stop input is active.': 'L’ingresso di allarme incendio o di arresto è attivo.',
    'The key switch is set to hold.': 'L’interruttore a chiave è su sospensione.',
    'Someone put testing on hold.': 'Qualcuno ha sospeso le prove.',
    'There is someone in the area.': 'C’è qualcuno nella zona.',
    'The controller restarted.': 'La centralina si è riavviata.',
    'Lamp readings were missing for too long to give a verdict.':
      'Le letture delle lampade sono mancate troppo a lungo per un esito.',
    'The relay did not open when switched: the supply stayed on.':
      'Il relè non ha aperto al comando: l’alimentazione è rimasta presente.',
    'The relay did not close when switched: the supply is still off.':
      'Il relè non ha chiuso al comando: l’alimentazione è ancora assente.',
    'The relay closed by itself during the test.': 'Il relè si è chiuso da solo durante la prova.',
    "The relay's auxiliary contact disagrees with the supply sensing.":
      'Il contatto ausiliario del relè contraddice il rilevamento dell’alimentazione.',
    'The current sensor reads current while the lamp is known to be dark.':
      'Il sensore di corrente legge corrente mentre la lampada è certamente spenta.',
    'The current sensor is open circuit, shorted or out of range.':
      'Il sensore di corrente è interrotto, in cortocircuito o fuori campo.',
    'No lamp was seen to light: suspect the tester before the luminaires.':
      'Nessuna lampada è stata vista accendersi: sospettare il dispositivo di prova prima degli apparecchi.',
    'Several lamps failed at the same instant: suspect the tester.':
      'Più lampade si sono spente nello stesso istante: sospettare il dispositivo di prova.',
    'The controller cannot write to its memory.': 'La centralina non può scrivere nella sua memoria.',
    'The supply did not come back after the relay was closed.':
      'L’alimentazione non è tornata dopo la chiusura del relè.',
    'The controller hung and its watchdog restarted it.':
      'La centralina si è bloccata e il suo watchdog l’ha riavviata.',
    'The current sensor reading did not change by even 1 mA when the supply was cut.':
      'La lettura del sensore di corrente non è cambiata nemmeno di 1 mA al distacco dell’alimentazione.',
    'One of the guards that release the relay was too slow or did not release it.':
      'Una delle protezioni che rilasciano il relè era troppo lenta o non l’ha rilasciato.',
    "The controller's timing does not agree with the host's time.":
      'La misura del tempo della centralina non concorda con l’ora dell’host.',
    'A self-test of the controller failed.': 'Un autotest della centralina non è stato superato.',
    'The current sensor does not answer on its bus.': 'Il sensore di corrente non risponde sul suo bus.',
    'The current sensor answers too slowly on its bus to judge the luminaire.':
      'Il sensore di corrente risponde troppo lentamente sul suo bus per giudicare l’apparecchio.',
    "The current sensor's address on the bus is used twice.":
      'L’indirizzo del sensore di corrente sul bus è usato due volte.',
    'The current sensor answers with errors on its bus.':
      'Il sensore di corrente risponde con errori sul suo bus.',
    'The controller has no settings yet.': 'La centralina non ha ancora impostazioni.',
    'The controller is not sure of the time.': 'La centralina non è sicura dell’ora.',
    'This night is reserved for a neighbouring circuit.': 'Questa notte è riservata a un circuito vicino.',
    'It is outside the test window.': 'È fuori dalla finestra di prova.',
    'Not enough of the test window is left for this test.':
      'Non resta abbastanza della finestra di prova per questa prova.',
    'The batteries are still recharging.': 'Le batterie sono ancora in ricarica.',
    'The area is not confirmed empty.': 'Non è confermato che la zona sia vuota.',
    "The controller's memory is full of results waiting for the log book.":
      'La memoria della centralina è piena di risultati in attesa del registro dei controlli.',
    'The controller is busy with another test.': 'La centralina è occupata da un’altra prova.',
    'Nothing to do: the supply is on and no test is running.':
      'Niente da fare: l’alimentazione è presente e nessuna prova è in corso.',
    'The supply keeps dipping.': 'L’alimentazione ha continui buchi di tensione.',
    "The test and its recharge do not fit into this circuit's hours of a shared night.":
      'La prova e la sua ricarica non entrano nelle ore di questo circuito in una notte condivisa.',
    'The message has a wrong signature.': 'Il messaggio ha una firma sbagliata.',
    'The message has been used before.': 'Il messaggio è già stato usato.',
    'The message arrived too late.': 'Il messaggio è arrivato troppo tardi.',
    'The message cannot be read.': 'Il messaggio non può essere letto.',
    'The message is in a version the controller does not understand.':
      'Il messaggio è in una versione che la centralina non capisce.',
    'The message asks for a value outside the permitted range.':
      'Il messaggio chiede un valore fuori dal campo permesso.',
    'The broker had stored the message; stored orders are never obeyed.':
      'Il broker aveva conservato il messaggio; i comandi conservati non vengono mai eseguiti.',
    'Its program has changed: load it again, and replace the controller if it happens again.':
      'Il suo programma è cambiato: ricaricarlo, e sostituire la centralina se succede di nuovo.',
    'Its memory does not keep what is written: replace the controller.':
      'La sua memoria non conserva ciò che viene scritto: sostituire la centralina.',
    'Every current sensor reads beyond its range: check the converter and its wiring.':
      'Tutti i sensori di corrente leggono fuori campo: controllare il convertitore e il suo cablaggio.',
    'Its program has used up its working memory: report it with the log book.':
      'Il suo programma ha esaurito la memoria di lavoro: segnalarlo con il registro dei controlli.',
    'The controller has just started and is checking its inputs.':
      'La centralina è appena partita e controlla i suoi ingressi.',
    'The supply is on and the batteries are charged.':
      'L’alimentazione è presente e le batterie sono cariche.',
    'The supply is on and the batteries are recharging.':
      'L’alimentazione è presente e le batterie si ricaricano.',
    'A test cannot start: {said}': 'Una prova non può iniziare: {said}',
    'The supply is being cut for a {kind}.': 'L’alimentazione viene staccata per: {kind}.',
    'A {kind} is running; the luminaires are on battery.':
      'In corso: {kind}; gli apparecchi sono a batteria.',
    'The test is over; checking that the supply is back.':
      'La prova è finita; si verifica che l’alimentazione sia tornata.',
    'The mains has failed; the luminaires are on battery.':
      'La rete è mancata; gli apparecchi sono a batteria.',
    'Testing is on hold.': 'Le prove sono sospese.',
    'Tester fault: no tests until it is cleared.':
      'Guasto del dispositivo di prova: nessuna prova finché non è resettato.',
    'This controller has never reported.': 'Questa centralina non ha mai dato notizie.',
    'Nothing heard for {length}.': 'Nessuna notizia da {length}.',
    'Last report: {said}': 'Ultime notizie: {said}',
    '{text} (circuit {id}): on battery now in a {kind}, batteries full again on {when}.':
      '{text} (circuito {id}): adesso a batteria, {kind}, batterie di nuovo cariche {when}.',
    '{text} (circuit {id}): on battery now in a {kind}, not known when the batteries will be full.':
      '{text} (circuito {id}): adesso a batteria, {kind}, non si sa quando le batterie saranno cariche.',
    '{text} (circuit {id}): no supply now; not yet known when the batteries will be full.':
      '{text} (circuito {id}): adesso senza alimentazione; non si sa ancora quando le batterie saranno cariche.',
    '{text} (circuit {id}): batteries recharging, batteries full again on {when}.':
      '{text} (circuito {id}): batterie in ricarica, batterie di nuovo cariche {when}.',
    '{text} (circuit {id}): batteries recharging, end not yet known.':
      '{text} (circuito {id}): batterie in ricarica, fine non ancora nota.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, batteries full again on {when}.':
      '{text} (circuito {id}), secondo le ultime notizie del {when2}: a batteria, {kind}, batterie di nuovo cariche {when}.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, not known when the batteries will be full.':
      '{text} (circuito {id}), secondo le ultime notizie del {when2}: a batteria, {kind}, non si sa quando le batterie saranno cariche.',
    '{text} (circuit {id}), when last heard on {when2}: no supply; not yet known when the batteries will be full.':
      '{text} (circuito {id}), secondo le ultime notizie del {when2}: senza alimentazione; non si sa ancora quando le batterie saranno cariche.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, batteries full again on {when}.':
      '{text} (circuito {id}), secondo le ultime notizie del {when2}: batterie in ricarica, batterie di nuovo cariche {when}.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, end not yet known.':
      '{text} (circuito {id}), secondo le ultime notizie del {when2}: batterie in ricarica, fine non ancora nota.',
    '{text} (circuit {id}): {kind} planned for {when}, batteries full again on {when2}.':
      '{text} (circuito {id}): {kind} prevista per {when}, batterie di nuovo cariche {when2}.',
    'If the power fails: leave {text} at once by torchlight, keep everyone out, and tell {text2}.':
      'Se manca la corrente: lasciare subito {text} con una torcia, non far entrare nessuno e avvisare: {text2}.',
    'Emergency luminaires there may stay dark or go out early.':
      'Gli apparecchi di emergenza possono restarvi spenti o spegnersi troppo presto.',
    'Go by {ways} by torchlight without stopping there: no way out is fully lit.':
      'Passare per {ways} con una torcia senza fermarsi: nessuna via di uscita è del tutto illuminata.',
    'If the power fails: leave the building by {ways} by torchlight without stopping there: no way out is fully lit.':
      'Se manca la corrente: lasciare l’edificio per {ways} con una torcia senza fermarsi: nessuna via di uscita è del tutto illuminata.',
    'Tell {text}.': 'Da avvisare: {text}.',
    '{Kind} of {when}: lit for {length} (log book entry {n}).':
      '{Kind} del {when}: acceso per {length} (registro, registrazione {n}).',
    '{Kind} of {when}: lit for {length} of {length2} rated (log book entry {n}).':
      '{Kind} del {when}: acceso per {length} di {length2} nominali (registro, registrazione {n}).',
    'Repair it, then report the repair; only a pass in a {kind} closes it.':
      'Riparare, poi segnalare la riparazione; la chiude solo, se superata, la {kind}.',
    'Repair it, then report the repair; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Riparare, poi segnalare la riparazione; la chiude solo, se superata: la {kind} se è stato sostituito batteria, lampada, alimentatore, caricabatteria o l’intero apparecchio, altrimenti la {kind2}.',
    'Repaired.': 'Riparato.',
    'Find out why the repair did not help; repair it again, then report that; only a pass in a {kind} closes it.':
      'Cercare perché la riparazione non è servita; riparare di nuovo, poi segnalarlo. La chiude solo, se superata, la {kind}.',
    'Find out why the repair did not help; repair it again, then report that; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Cercare perché la riparazione non è servita; riparare di nuovo, poi segnalarlo; la chiude solo, se superata: la {kind} se è stato sostituito batteria, lampada, alimentatore, caricabatteria o l’intero apparecchio, altrimenti la {kind2}.',
    'Repaired on {day} ({text}); the {kind} of {when} failed again: the repair did not help.':
      'Riparato il {day} ({text}); la {kind} del {when} di nuovo non superata: la riparazione non è servita.',
    'Repaired on {day}; the {kind} of {when} failed again: the repair did not help.':
      'Riparato il {day}; la {kind} del {when} di nuovo non superata: la riparazione non è servita.',
    'Not proven since {day}.': 'Non confermato dal {day}.',
    'No luminaire proven.': 'Nessun apparecchio confermato.',
    'No luminaire proven since {day}.': 'Nessun apparecchio confermato dal {day}.',
    'Tests without a verdict: {n}, the last on {day}: {said}':
      'Prove senza esito: {n}, l’ultima il {day}: {said}',
    'Duration tests without a verdict: {n}, the last on {day}: {said}':
      'Prove di autonomia senza esito: {n}, l’ultima il {day}: {said}',
    'Duration tests without a verdict: {n}.': 'Prove di autonomia senza esito: {n}.',
    'No test since then had a verdict.': 'Da allora nessuna prova ha avuto un esito.',
    'No duration test since then had a verdict.': 'Da allora nessuna prova di autonomia ha avuto un esito.',
    'Nobody has measured the currents it is judged by: they are expected ones.':
      'Nessuno ha misurato le correnti secondo cui è giudicato: sono correnti attese.',
    'Look at it lit in a complete test, then accept on its page what was measured.':
      'Guardarlo acceso in una prova completa, poi accettare sulla sua pagina ciò che è stato misurato.',
    'Its page says where to look first.': 'La sua pagina dice dove guardare per primo.',
    'Next try, a {kind}: planned for {when}.': 'Prossimo tentativo ({kind}): previsto per {when}.',
    'Next try, a {kind}: not planned yet.': 'Prossimo tentativo ({kind}): non ancora previsto.',
    'Not heard since this host started; its last record is of {day}.':
      'Non sentita dall’avvio di questo host; l’ultima registrazione è del {day}.',
    'Its controller has not been heard since this host started; its last record is of {day}.':
      'La sua centralina non si è sentita dall’avvio di questo host; l’ultima registrazione è del {day}.',
    'Retest, a {kind}: planned for {when}.': 'Nuova prova ({kind}): prevista per {when}.',
    'Retest, a {kind}: not planned yet.': 'Nuova prova ({kind}): non ancora prevista.',
    'The {kind} of {when} ended without a verdict: {said}':
      'La {kind} del {when} è finita senza esito: {said}',
    'It failed for a reason that was not recorded.':
      'Non superata, per un motivo che non è stato registrato.',
    'Not proven.': 'Non confermato.',
    'Its controller has never been heard from.': 'La sua centralina non ha mai dato notizie.',
    'Its controller is silent.': 'La sua centralina è muta.',
    'Tester fault: it makes no tests.': 'Guasto del dispositivo di prova: nessuna prova.',
    'A test is overdue.': 'Una prova è in ritardo.',
    'Check the controller’s supply and its network, then let it test again.':
      'Controllare alimentazione e rete dati della centralina, poi lasciarla provare di nuovo.',
    'Have the tester repaired, then clear the fault.':
      'Far riparare il dispositivo di prova, poi resettare il guasto.',
    'Its page says what it waits for; or start the test while someone works there.':
      'La sua pagina dice che cosa attende; oppure avviare la prova mentre qualcuno vi lavora.',
    'Its controller is not heard, so no order reaches it.':
      'La sua centralina non si sente, perciò nessun comando la raggiunge.',
    'Its batteries recharge until {when}; a test is possible after that.':
      'Le sue batterie si ricaricano fino a {when}; dopo è possibile una prova.',
    'There is no plan yet.': 'Non c’è ancora un piano.',
    'It shows only that the lamp lights again.': 'Mostra solo che la lampada si accende di nuovo.',
    'The {kind} that closes the defect is possible once the batteries have charged, from {when}.':
      'La {kind} che chiude l’anomalia è possibile quando le batterie sono cariche, da {when}.',
    'The {kind} that closes the defect is possible only on days without tests of its neighbours.':
      'La {kind} che chiude l’anomalia è possibile solo nei giorni senza prove dei suoi vicini.',
    'The controller has started (firmware {text}).': 'La centralina si è avviata (firmware {text}).',
    'The controller has started with an empty memory (firmware {text}).':
      'La centralina si è avviata con memoria vuota (firmware {text}).',
    '{Kind} starts: the supply is about to be cut.':
      '{Kind}: inizio, l’alimentazione sta per essere staccata.',
    '{Kind} stopped after {length}: nothing was judged.':
      '{Kind} interrotta dopo {length}: niente è stato giudicato.',
    '{Kind} ended after {length}: the luminaire passed.':
      '{Kind} finita dopo {length}: l’apparecchio ha superato la prova.',
    '{Kind} ended after {length}: all {n} luminaires passed.':
      '{Kind} finita dopo {length}: tutti i {n} apparecchi hanno superato la prova.',
    '{Kind} ended after {length}: {n} of {n2} luminaire failed.':
      '{Kind} finita dopo {length}: {n} di {n2} apparecchio non l’hanno superata.',
    '{Kind} ended after {length}: void for {n} luminaire.':
      '{Kind} finita dopo {length}: nulla per {n} apparecchio.',
    '{Kind} ended after {length}: void for {n} luminaire, {n2} passed.':
      '{Kind} finita dopo {length}: nulla per {n} apparecchio, {n2} con prova superata.',
    '{Kind} ended after {length}: {n} of {n2} luminaires failed.':
      '{Kind} finita dopo {length}: {n} di {n2} apparecchi non l’hanno superata.',
    '{Kind} ended after {length}: void for {n} luminaires.':
      '{Kind} finita dopo {length}: nulla per {n} apparecchi.',
    '{Kind} ended after {length}: void for {n} luminaires, {n2} passed.':
      '{Kind} finita dopo {length}: nulla per {n} apparecchi, {n2} con prova superata.',
    'Mains failure; the luminaires are on battery.': 'Mancanza rete; gli apparecchi sono a batteria.',
    'The supply is unsteady: {n} short dips in a row.':
      'L’alimentazione è instabile: {n} brevi buchi di seguito.',
    'No test starts until it has been steady for 10 minutes.':
      'Nessuna prova inizia finché non è stabile da 10 minuti.',
    'The mains is back after {length}.': 'La rete è tornata dopo {length}.',
    'After a tester fault, the supply is back after {length}.':
      'Dopo un guasto del dispositivo di prova, l’alimentazione è tornata dopo {length}.',
    'Tester fault cleared.': 'Guasto del dispositivo di prova resettato.',
    'It was: {said}': 'Era: {said}',
    'It was the pulse detector, with the pulses stopped low.':
      'Era il rivelatore di impulsi, impulsi fermi a livello basso.',
    'It was the pulse detector, with the pulses stopped high.':
      'Era il rivelatore di impulsi, impulsi fermi a livello alto.',
    'It was the enable signal.': 'Era il segnale di abilitazione.',
    'Testing is on hold for {length}.': 'Le prove sono sospese per {length}.',
    'Testing has been on hold for {length}.': 'Le prove sono sospese da {length}.',
    "The controller's clock was moved back by {length}; two time answers agreed.":
      'L’orologio della centralina è stato spostato indietro di {length}; due risposte concordavano.',
    "The controller's clock was moved forward by {length}; two time answers agreed.":
      'L’orologio della centralina è stato spostato avanti di {length}; due risposte concordavano.',
    'The clock chip was set.': 'Il circuito dell’orologio è stato regolato.',
    'The clock chip does not answer, or cannot be set.':
      'Il circuito dell’orologio non risponde o non può essere regolato.',
    'Check its wiring and its cell.': 'Controllare il cablaggio e la pila.',
    'The clock chip was {length} behind and was corrected.':
      'Il circuito dell’orologio era indietro di {length} ed è stato corretto.',
    'The clock chip was {length} ahead and was corrected.':
      'Il circuito dell’orologio era avanti di {length} ed è stato corretto.',
    'If this happens again, replace it.': 'Se succede di nuovo, sostituirlo.',
    'Testing resumed after a hold of {length}.': 'Le prove sono riprese dopo una sospensione di {length}.',
    'No test is being made: the controller does not know the time.':
      'Nessuna prova viene fatta: la centralina non conosce l’ora.',
    'It needs the host, or a clock chip.': 'Le serve l’host o un circuito dell’orologio.',
    'A test is overdue: none of its planned tries had a verdict.':
      'Una prova è in ritardo: nessuno dei tentativi previsti ha dato un esito.',
    'A test is overdue: no test window was found for it.':
      'Una prova è in ritardo: per essa non si è trovata una finestra.',
    'No charging after the last test: {n} mA 60 s after the supply came back.':
      'Nessuna ricarica dopo l’ultima prova: {n} mA 60 s dopo il ritorno dell’alimentazione.',
    'Charging after the last test started at {n} mA.': 'Ricarica dopo l’ultima prova iniziata a {n} mA.',
    'Charging after the last test started at {n} mA and fell to half within {length}.':
      'Ricarica dopo l’ultima prova iniziata a {n} mA e scesa alla metà in {length}.',
    'Charging after the last test started at {n} mA and fell to half within {length} and to a fifth within {length2}.':
      'Ricarica dopo l’ultima prova iniziata a {n} mA e scesa alla metà in {length} e a un quinto in {length2}.',
    'The supply failed again; charging was seen for only {length}.':
      'L’alimentazione è mancata di nuovo; la ricarica si è vista solo per {length}.',
    'restore the supply': 'ripristinare l’alimentazione',
    'hold testing for {length}': 'sospendere le prove per {length}',
    'release the hold': 'togliere la sospensione',
    'clear the fault': 'resettare il guasto',
    'start a {kind}': 'avviare una {kind}',
    'extend the test by {length}': 'prolungare la prova di {length}',
    'record a trace of the next test': 'registrare una traccia della prossima prova',
    'send its records again': 'inviare di nuovo le registrazioni',
    'The controller has accepted the order to {said}.': 'La centralina ha accettato il comando: {said}.',
    'The controller refused to {said}.': 'La centralina ha rifiutato il comando: {said}.',
    'There was nothing to restore: the controller was not holding the supply off.':
      'Non c’era niente da ripristinare: la centralina non teneva tolta l’alimentazione.',
    'The order was not sent: there is no connection to the MQTT broker.':
      'Il comando non è stato inviato: non c’è collegamento al broker MQTT.',
    'The host was stopped before the controller answered.':
      'L’host è stato fermato prima della risposta della centralina.',
    'Answer to order {n}: {said}': 'Risposta al comando {n}: {said}',
    '{text} gave the order to {said}; the controller accepted it.':
      '{text} ha dato il comando: {said}; la centralina lo ha accettato.',
    '{text} gave the order to {said}; the controller refused it.':
      '{text} ha dato il comando: {said}; la centralina lo ha rifiutato.',
    '{text} gave the order to {said} (order {n}).': '{text} ha dato il comando: {said} (comando {n}).',
    '{Kind} on demand was called off before it started.': '{Kind} a richiesta disdetta prima dell’inizio.',
    'Account or password is wrong.': 'Account o password errati.',
    'This passkey was not accepted.': 'Questa passkey non è stata accettata.',
    'Sign in with the password.': 'Acceda con la password.',
    'Too many wrong attempts; try again in {n} s.': 'Troppi tentativi errati; riprovi fra {n} s.',
    'Too many people are signing in at once; try again in a few seconds.':
      'Troppe persone accedono insieme; riprovi fra qualche secondo.',
    'Code is wrong.': 'Il codice è errato.',
    'Compare it with the screen.': 'Lo confronti con lo schermo.',
    'Account or code is wrong, or the code was used or is too old.':
      'Account o codice errati, oppure il codice è già usato o troppo vecchio.',
    'The code was used meanwhile.': 'Il codice è stato usato nel frattempo.',
    'The password is wrong.': 'La password è errata.',
    'Your session has ended; sign in again.': 'La sessione è terminata; acceda di nuovo.',
    'Sign in first.': 'Prima acceda.',
    'There are accounts already; ask an administrator for one.':
      'Ci sono già account; ne chieda uno a un amministratore.',
    'A password needs at least {n} characters.': 'Una password ha almeno {n} caratteri.',
    'Four unrelated words do.': 'Bastano quattro parole senza legame.',
    'A password may have at most {n} characters.': 'Una password ha al massimo {n} caratteri.',
    'This password contains your name.': 'Questa password contiene il Suo nome.',
    'This password contains a name that belongs to the building.':
      'Questa password contiene un nome che appartiene all’edificio.',
    'This password is among the first that others would try.':
      'Questa password è fra le prime che altri proverebbero.',
    'Choose four unrelated words.': 'Scelga quattro parole senza legame.',
    'Give the full name, 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Dia il nome completo, da 1 a {n} caratteri senza virgolette né barra rovesciata: sta nel registro dei controlli.',
    'There is an account {id} already; choose another.': 'L’account {id} esiste già; ne scelga un altro.',
    'The account must have 2 to 24 lower-case letters without accents, digits, dots and hyphens, e.g. anna or j.vail.':
      'L’account ha da 2 a 24 lettere minuscole senza accenti, cifre, punti e trattini, p. es. anna o j.vail.',
    'Make an administrator first: nobody else can make accounts and give codes on the page.':
      'Crei prima un amministratore: nessun altro può creare account e dare codici sulla pagina.',
    'This host has one building only; give the role without it.':
      'Questo host ha un solo edificio; assegni il ruolo senza edificio.',
    'An administrator is that in every building; give the role without a building.':
      'Un amministratore lo è in ogni edificio; assegni il ruolo senza edificio.',
    'There is no building "{text}" here; choose one of: {text2}.':
      'Qui non c’è l’edificio «{text}»; ne scelga uno fra: {text2}.',
    'There is no account {id}.': 'L’account {id} non esiste.',
    '{id} is the only administrator with a password; make another one first.':
      '{id} è l’unico amministratore con una parola d’accesso; ne crei prima un altro.',
    '{id} has the role {role} there already.': '{id} vi ha già il ruolo: {role}.',
    '{id} has the role {role} already.': '{id} ha già il ruolo: {role}.',
    '{id} would have no role any more; disable the account instead.':
      '{id} non avrebbe più alcun ruolo; blocchi piuttosto l’account.',
    '{id} is disabled already.': '{id} è già bloccato.',
    '{id} is enabled already.': '{id} non è bloccato.',
    'Change your own password on the page of your account; a code is for somebody who forgot his.':
      'Cambi la propria parola d’accesso sulla pagina del suo account; un codice è per chi ha dimenticato la sua.',
    'Nothing was changed.': 'Nulla è stato cambiato.',
    'Done, and entered in the log book: account {id}.':
      'Fatto, e annotato nel registro dei controlli: account {id}.',
    'Done, and entered in the log book: access token {id}.':
      'Fatto, e annotato nel registro dei controlli: chiave di accesso {id}.',
    'Done: account {id}.': 'Fatto: account {id}.',
    'Done: access token {id}.': 'Fatto: chiave di accesso {id}.',
    'The log book does not have it yet, and gets it as soon as it can.':
      'Nel registro dei controlli non c’è ancora; vi sarà annotato appena possibile.',
    'The new password holds from now on.': 'La nuova parola d’accesso vale da ora.',
    'The passkeys of this account were removed.': 'Le passkey di questo account sono state tolte.',
    'The passkeys of this account were removed; add your own again.':
      'Le passkey di questo account sono state tolte; aggiunga di nuovo le sue.',
    'Say what the token is for, in 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Dica a che cosa serve la chiave, in 1–{n} caratteri senza virgolette né barra rovesciata: sta nel registro dei controlli.',
    'A token is good for 1 to {n} days.': 'Una chiave vale da 1 a {n} giorni.',
    'There are {n} tokens already; withdraw one that nobody needs.':
      'Ci sono già {n} chiavi; ne ritiri una che non serve a nessuno.',
    'There is no access token {id}.': 'La chiave di accesso {id} non esiste.',
    'The access token {id} is withdrawn already.': 'La chiave di accesso {id} è già ritirata.',
    'The device has made no passkey that this host can use.':
      'Il dispositivo non ha creato alcuna passkey che questo host possa usare.',
    'Try again.': 'Riprovi.',
    'Say which device it is, in 1 to {n} characters without quotes or backslash.':
      'Dica quale dispositivo è, in 1–{n} caratteri senza virgolette né barra rovesciata.',
    'An account has at most {n} passkeys.': 'Un account ha al massimo {n} passkey.',
    'This passkey is there already.': 'Questa passkey c’è già.',
    'There is no such passkey.': 'Questa passkey non esiste.',
    'Passkeys need the page at a host name over TLS, or at localhost; an address of numbers has none.':
      'Le passkey richiedono la pagina con un nome di host via TLS, o con localhost; un indirizzo di numeri non ne ha.',
    'Nobody may do this.': 'Nessuno può farlo.',
    'Only an administrator may do this; you are signed in as {id}, {role}.':
      'Solo un amministratore può farlo; l’accesso è come {id} ({role}).',
    'Only a person with the role {role} may do this; you are signed in as {id}, {role2}.':
      'Per farlo serve il ruolo: {role}; l’accesso è come {id} ({role2}).',
    'Only an administrator may do this; you are signed in as {id}, who has no role here.':
      'Solo un amministratore può farlo; l’accesso è come {id}, senza ruolo qui.',
    'Only a person with the role {role} may do this; you are signed in as {id}, who has no role here.':
      'Per farlo serve il ruolo: {role}; l’accesso è come {id}, senza ruolo qui.',
    'This host cannot read the request.': 'Questo host non può leggere la richiesta.',
    'Load the page again.': 'Ricarichi la pagina.',
    'The request is too long.': 'La richiesta è troppo lunga.',
    'The log book says that accounts were made here, but their file does not have them.':
      'Secondo il registro qui sono stati creati account, ma il loro file non li ha.',
    'Restore that file from your backup, or make an administrator with "nightproof accounts add" on the host\'s machine.':
      'Ripristini quel file dalla copia di sicurezza, o crei un amministratore con «nightproof accounts add» sulla macchina dell’host.',
    'battery changed': 'batteria sostituita',
    'lamp changed': 'lampada sostituita',
    'driver or charger changed': 'alimentatore o caricabatteria sostituito',
    'whole luminaire changed': 'intero apparecchio sostituito',
    once: 'una volta',
    'every day': 'ogni giorno',
    'every {n} days': 'ogni {n} giorni',
    'every month': 'ogni mese',
    'every {n} months': 'ogni {n} mesi',
    'every year': 'ogni anno',
    'every {n} years': 'ogni {n} anni',
    'an instructed person': 'una persona istruita',
    'a competent person': 'una persona competente',
    'a skilled electrician': 'un elettricista qualificato',
    'the responsible person': 'la persona responsabile',
    'the whole site': 'tutto il sito',
    'Daily look at the central supply': 'Controllo giornaliero dell’alimentazione centrale',
    'The indicators of the central supply show that it is healthy.':
      'Le spie dell’alimentazione centrale mostrano che è sana.',
    'Faults found earlier are being attended to.': 'Ci si occupa dei guasti trovati in precedenza.',
    'Walk past every luminaire': 'Giro di ogni apparecchio',
    'Walk past every luminaire, and rest mode': 'Giro di ogni apparecchio, e modo di riposo',
    'Every luminaire and sign is in its place and undamaged.':
      'Ogni apparecchio e ogni segnale è al suo posto e integro.',
    'Luminaires and signs are clean.': 'Apparecchi e segnali sono puliti.',
    'Nothing hides them or blocks their light.': 'Niente li nasconde o blocca la loro luce.',
    'Every sign can be seen, and points the right way.': 'Ogni segnale si vede e indica la direzione giusta.',
    'Every indicator lamp is lit.': 'Ogni spia è accesa.',
    'Those looked at during a test were lit.': 'Quelli visti durante una prova erano accesi.',
    'The rest command puts the luminaires out while the mains is off.':
      'Il comando di riposo spegne gli apparecchi mentre manca la rete.',
    'They return to standby by themselves when the mains is back.':
      'Tornano da soli in attesa quando torna la rete.',
    'Condition of all luminaires': 'Stato di tutti gli apparecchi',
    'Housings, covers and fixings are sound and dry.': 'Involucri, coperchi e fissaggi sono sani e asciutti.',
    'No lamp or light guide has darkened or yellowed.':
      'Nessuna lampada o guida di luce si è scurita o ingiallita.',
    'Signs can be read from where they must be.': 'I segnali si leggono da dove devono essere letti.',
    'Guidance lights': 'Luci di guida',
    'Every guidance light is in its place and undamaged.': 'Ogni luce di guida è al suo posto e integra.',
    'Every guidance light can be seen, and points the right way.':
      'Ogni luce di guida si vede e indica la direzione giusta.',
    'Every guidance light changes to its battery and back.':
      'Ogni luce di guida passa alla sua batteria e ritorna.',
    'Pilot lights, terminals and batteries': 'Spie, morsetti e batterie',
    'Every pilot light is lit.': 'Ogni spia luminosa è accesa.',
    'Terminals are clean and tight.': 'I morsetti sono puliti e serrati.',
    'The surfaces of batteries are clean and dry.': 'Le superfici delle batterie sono pulite e asciutte.',
    'Simulated failure of the general lighting': 'Mancanza simulata dell’illuminazione ordinaria',
    'Where the supply of the general lighting was cut, every luminaire came on.':
      'Dove l’alimentazione dell’illuminazione ordinaria è stata staccata, ogni apparecchio si è acceso.',
    'When it was back, they returned to standby.': 'Al suo ritorno sono tornati in attesa.',
    'Inhibit system': 'Sistema di inibizione',
    'The inhibit command works.': 'Il comando di inibizione funziona.',
    'The luminaires are ready again when it ends.': 'Gli apparecchi sono di nuovo pronti quando finisce.',
    'Yearly look after the duration tests': 'Controllo annuale dopo le prove di autonomia',
    'After the duration tests every indicator lamp was lit again.':
      'Dopo le prove di autonomia ogni spia era di nuovo accesa.',
    'Charging works again in every luminaire.': 'La ricarica funziona di nuovo in ogni apparecchio.',
    'Every defect that the tests found is repaired or has a date.':
      'Ogni anomalia trovata dalle prove è riparata o ha una data.',
    'Log book, drawings and instructions are at hand.':
      'Registro dei controlli, disegni e istruzioni sono a portata di mano.',
    'Inspection by a competent person': 'Ispezione di una persona competente',
    'The whole installation was inspected.': 'Tutto l’impianto è stato ispezionato.',
    'No deviation is without its reason in the report.': 'Nessuno scostamento è senza motivo nel rapporto.',
    'The signed report or certificate is in the register.':
      'Il rapporto o certificato firmato è nel registro.',
    'Charging after the duration tests': 'Ricarica dopo le prove di autonomia',
    "The charging voltage agrees with the maker's data.":
      'La tensione di carica concorda con i dati del costruttore.',
    "The charging current agrees with the maker's data.":
      'La corrente di carica concorda con i dati del costruttore.',
    "The recovery period agrees with the maker's data.":
      'Il tempo di recupero concorda con i dati del costruttore.',
    'Measurement of the light': 'Misura della luce',
    'The light was measured in the dark along all escape routes and in open areas.':
      'La luce è stata misurata al buio lungo tutte le vie di esodo e nelle aree aperte.',
    'It is nowhere below what the lighting design asks for.':
      'Non è in alcun punto sotto quanto chiede il progetto.',
    'The report with measuring points, instrument and calibration is in the register.':
      'Il rapporto con punti di misura, strumento e taratura è nel registro.',
    'Key switch and labels': 'Interruttore a chiave ed etichette',
    'The key of the test switch is in its place, and those on duty know where.':
      'La chiave dell’interruttore di prova è al suo posto, e chi è di turno sa dove.',
    'Test switch, distribution boards and controllers are labelled.':
      'Interruttore di prova, quadri e centraline sono etichettati.',
    'The switch works, and the supply returns with it.':
      'L’interruttore funziona, e l’alimentazione torna con esso.',
    'Handover and completion papers': 'Consegna e documenti di fine lavori',
    'As-fitted drawings show every luminaire, circuit and test switch.':
      'I disegni come costruito mostrano ogni apparecchio, circuito e interruttore di prova.',
    'Declarations of design, installation and verification are signed.':
      'Le dichiarazioni di progetto, installazione e verifica sono firmate.',
    'Photometric data or a measurement of the light are there.':
      'Ci sono dati fotometrici o una misura della luce.',
    'Instructions for users say what to do and whom to call.':
      'Le istruzioni dicono che cosa fare e chi chiamare.',
    'The list of luminaires agrees with what is installed.':
      'L’elenco degli apparecchi concorda con ciò che è installato.',
    'Alterations of the building': 'Modifiche dell’edificio',
    'No wall, door, shelf or use of a room has changed since the light was planned.':
      'Nessun muro, porta, scaffale o uso di un locale è cambiato da quando la luce è stata progettata.',
    'Escape routes and signs are still as drawn.': 'Vie di esodo e segnali sono ancora come disegnati.',
    'Where the normal lighting of a place fails, its emergency lighting still comes on.':
      'Dove manca l’illuminazione ordinaria di un luogo, la sua illuminazione di emergenza si accende ancora.',
    'Who does this work': 'Chi fa questo lavoro',
    'A competent person is named, with the authority to have repairs done.':
      'Una persona competente è nominata, con il potere di far riparare.',
    'Those who test, inspect and repair are trained for it, and it is not out of date.':
      'Chi prova, ispeziona e ripara è formato per farlo, e la formazione è aggiornata.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}.':
      'Il sensore di corrente è molto probabilmente andato alla deriva: il {day} leggeva {n} mA che nessuna lampada assorbe.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}, and {n2} mA on {day2}.':
      'Il sensore di corrente è molto probabilmente andato alla deriva: il {day} leggeva {n} mA che nessuna lampada assorbe, e {n2} mA il {day2}.',
    'Check sensor and wiring before the luminaire.':
      'Controllare sensore e cablaggio prima dell’apparecchio.',
    'Most likely a second supply from another circuit: on {day} it drew {n} mA before the supply was cut and {n2} mA 60 s after, with {n3} mA commissioned on battery.':
      'Molto probabilmente una seconda alimentazione da un altro circuito: il {day} assorbiva {n} mA prima del distacco e {n2} mA 60 s dopo, con {n3} mA di messa in servizio a batteria.',
    'Its battery was not tested.': 'La sua batteria non è stata provata.',
    'Prove dead before you touch it: it may be live with its own circuit off.':
      'Verificare l’assenza di tensione prima di toccarlo: può essere in tensione anche con il suo circuito staccato.',
    'Then find what else feeds it, and disconnect that.':
      'Poi cercare che cos’altro lo alimenta, e scollegarlo.',
    'Most likely a second lamp on its sensor, or a wrong commissioned current: on {day} it read {n} mA at 60 s and {n2} mA at the end, with {n3} mA commissioned on battery.':
      'Molto probabilmente una seconda lampada sul suo sensore, o una corrente di messa in servizio sbagliata: il {day} leggeva {n} mA a 60 s e {n2} mA alla fine, con {n3} mA di messa in servizio a batteria.',
    'Follow the wires through the sensor first: one lamp may hide that another is dark.':
      'Seguire prima i fili attraverso il sensore: una lampada può nascondere che un’altra è spenta.',
    'With one lamp on it, measure that on battery, and correct the site file or replace the sensor.':
      'Se c’è una sola lampada, misurarla a batteria, e correggere il file del sito o sostituire il sensore.',
    'It also glowed on mains, with {n} mA: look for leakage or a wrong connection.':
      'Era debolmente acceso anche in rete, con {n} mA: cercare una dispersione o un collegamento sbagliato.',
    'Most likely the current sensor: on {day} it stuck at {n} mA from mains to battery and read {n2} mA at 60 s.':
      'Molto probabilmente il sensore di corrente: il {day} è rimasto a {n} mA dalla rete alla batteria e leggeva {n2} mA a 60 s.',
    'There is no proof that the lamp was lit.': 'Non c’è prova che la lampada fosse accesa.',
    'Most likely the current sensor, its wiring or the multiplexer: it read out of range on {day}.':
      'Molto probabilmente il sensore di corrente, il suo cablaggio o il multiplexer: il {day} leggeva fuori campo.',
    'Most likely the tester, not the luminaire.':
      'Molto probabilmente il dispositivo di prova, non l’apparecchio.',
    'On {day} it had lasted {length}.': 'Il {day} era durato {length}.',
    'On {day}: {said}': 'Il {day}: {said}',
    'The circuit drew {n} mA of charging current after the test of {day}.':
      'Il circuito ha assorbito {n} mA di corrente di carica dopo la prova del {day}.',
    'Against that: it has passed a function test since, on {day}; only a duration test can show that it lasts again.':
      'In senso contrario: ha superato da allora una prova di funzionamento, il {day}; solo una prova di autonomia può mostrare che dura di nuovo.',
    'Against that: it has passed a function test since, on {day}, so its lamp works.':
      'In senso contrario: ha superato da allora una prova di funzionamento, il {day}; la sua lampada quindi funziona.',
    'Against that: it has passed a function test since, on {day}, but a loose contact comes and goes.':
      'In senso contrario: ha superato da allora una prova di funzionamento, il {day}, ma un contatto allentato va e viene.',
    'Against that: it has passed {n3} function tests since, the last on {day}; only a duration test can show that it lasts again.':
      'In senso contrario: ha superato da allora {n3} prove di funzionamento, l’ultima il {day}; solo una prova di autonomia può mostrare che dura di nuovo.',
    'Against that: it has passed {n3} function tests since, the last on {day}, so its lamp works.':
      'In senso contrario: ha superato da allora {n3} prove di funzionamento, l’ultima il {day}; la sua lampada quindi funziona.',
    'Against that: it has passed {n3} function tests since, the last on {day}, but a loose contact comes and goes.':
      'In senso contrario: ha superato da allora {n3} prove di funzionamento, l’ultima il {day}, ma un contatto allentato va e viene.',
    'Most likely a loose contact, or a battery that was not charged: not lit at 5 s in the {kind} of {day} ({n} of {n2} mA).':
      'Molto probabilmente un contatto allentato, o una batteria non carica: non acceso a 5 s, {kind} del {day} ({n} di {n2} mA).',
    'Most likely the charger, or a battery that no longer takes charge: on {day} the lamp was lit for {length}, which emptied the battery, and since {day2} it has stayed dark although it had time to recharge.':
      'Molto probabilmente il caricabatteria, o una batteria che non prende più carica: il {day} la lampada è stata accesa {length}, svuotando la batteria, e dal {day2} resta spenta benché abbia avuto il tempo di ricaricarsi.',
    'A lamp that failed at that time would look the same.':
      'Una lampada guastatasi in quel momento apparirebbe uguale.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it was last lit on {day2}.':
      'Molto probabilmente una lampada guasta, o una batteria guasta, scollegata o non carica: non acceso a 5 s il {day} ({n} di {n2} mA); era acceso l’ultima volta il {day2}.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it has not been lit in any test on record.':
      'Molto probabilmente una lampada guasta, o una batteria guasta, scollegata o non carica: non acceso a 5 s il {day} ({n} di {n2} mA); non è stato acceso in nessuna prova registrata.',
    'Most likely a battery with a shorted cell: it takes charge, as it lit in {n} function tests since {day}, but it lasted only {length} of {length2} on {day2} ({n2} of {n3} mA at 60 s).':
      'Molto probabilmente una batteria con un elemento in corto: prende carica, perché si è accesa in {n} prove di funzionamento dal {day}, ma è durata solo {length} di {length2} il {day2} ({n2} di {n3} mA a 60 s).',
    'Most likely the charger: on {day} it still lasted {length}, but after time to recharge it lasted only {length2} of {length3} on {day2}.':
      'Molto probabilmente il caricabatteria: il {day} durava ancora {length}, ma dopo il tempo di ricarica è durato solo {length2} di {length3} il {day2}.',
    'Most likely the charger: it lasted only {length} of {length2} on {day}.':
      'Molto probabilmente il caricabatteria: è durato solo {length} di {length2} il {day}.',
    'Most likely an aged battery: it lasted {length} of {length2} on {day}.':
      'Molto probabilmente una batteria invecchiata: è durata {length} di {length2} il {day}.',
    'Most likely an aged battery that its driver cuts off and on again: the lamp flickered from {length} of {length2} on in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Molto probabilmente una batteria invecchiata che l’alimentatore stacca e riattacca: la lampada ha sfarfallato da {length} di {length2} in poi, {kind} del {day}, con {n} mA a 5 s, {n2} mA a 60 s e {n3} mA alla fine, di {n4} mA.',
    'Most likely a loose contact or the driver: the lamp flickered in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Molto probabilmente un contatto allentato o l’alimentatore: la lampada ha sfarfallato, {kind} del {day}, con {n} mA a 5 s, {n2} mA a 60 s e {n3} mA alla fine, di {n4} mA.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the battery.":
      'Cercare prima che cosa è allentato alla spina della batteria, ai morsetti e alla lampada; se niente lo è, sostituire la batteria.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the driver.":
      'Cercare prima che cosa è allentato alla spina della batteria, ai morsetti e alla lampada; se niente lo è, sostituire l’alimentatore.',
    'Most likely the lamp or its driver: it reached {n} mA at 5 s and {n2} mA at 60 s of {n3} mA commissioned on {day}.':
      'Molto probabilmente la lampada o il suo alimentatore: ha raggiunto {n} mA a 5 s e {n2} mA a 60 s di {n3} mA di messa in servizio il {day}.',
    'Most likely the switched live or the commissioned mode: the lamp was lit on mains on {day}.':
      'Molto probabilmente la fase comandata o il modo indicato: la lampada era accesa in rete il {day}.',
    'Most likely the switched live or the commissioned mode: the lamp was dark on mains on {day}.':
      'Molto probabilmente la fase comandata o il modo indicato: la lampada era spenta in rete il {day}.',
    'Recorded: {said}': 'Registrato: {said}',
    'repaired {text} ({work}); a {kind} is due by {day}.':
      '{text} riparato ({work}); {kind} da fare entro il {day}.',
    'repaired {text}; a {kind} is due by {day}.': '{text} riparato; {kind} da fare entro il {day}.',
    '{text2} repaired {text} ({work}); a {kind} is due by {day}.':
      '{text2} ha riparato {text} ({work}); {kind} da fare entro il {day}.',
    '{text2} repaired {text}; a {kind} is due by {day}.':
      '{text2} ha riparato {text}; {kind} da fare entro il {day}.',
    'The test will be added to the plan.': 'La prova sarà aggiunta al piano.',
    'Work ended; the controller is updated within a minute or two.':
      'Lavoro finito; la centralina viene aggiornata entro uno o due minuti.',
    '{text} ended or cancelled work on this circuit.':
      '{text} ha finito o annullato il lavoro su questo circuito.',
    'Its {kind} is overdue.': 'In ritardo: {kind}.',
    'It has never had a duration test.': 'Non ha mai avuto una prova di autonomia.',
    '{Kind} is overdue: none of its planned tries had a verdict.':
      '{Kind} in ritardo: nessuno dei tentativi previsti ha dato un esito.',
    'Withdrawn on {day} by {text} (entry {n}): {words}.':
      'Ritirata il {day} da {text} (registrazione {n}): {words}.',
    'Recorded: {text} withdrew entry {n}: {words}.':
      'Registrato: {text} ha ritirato la registrazione {n}: {words}.',
    '{text} withdrew entry {n}: {words}.': '{text} ha ritirato la registrazione {n}: {words}.',
    'it did not pass.': 'prova non superata.',
    'its sensor was open circuit or saturated on battery.':
      'il suo sensore era interrotto o saturo a batteria.',
    '{n} mA on battery is below {n2} % of the {n3} mA in the site file.':
      '{n} mA a batteria è sotto il {n2} % dei {n3} mA nel file del sito.',
    '{n} mA on battery is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA a batteria supera il {n2} % dei {n3} mA nel file del sito.',
    'its sensor was open circuit or saturated on mains.': 'il suo sensore era interrotto o saturo in rete.',
    '{n} mA on mains is below {n2} % of the {n3} mA in the site file.':
      '{n} mA in rete è sotto il {n2} % dei {n3} mA nel file del sito.',
    '{n} mA on mains is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA in rete supera il {n2} % dei {n3} mA nel file del sito.',
    'Settings {n} of this circuit describe, in sensor order: {text}.':
      'Le impostazioni {n} di questo circuito descrivono, nell’ordine dei sensori: {text}.',
  },
};
