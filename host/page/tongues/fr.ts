// French. Terms as in NF EN 50172 and NF EN 62034, from memory: docs/glossary.md.

import { capital } from '../../words/capital';
import type { Words } from './en';
import { saidOfSite } from './frSaidOfSite';
import { site } from './frSite';
import { plurals } from './plurals';

const { count, form, number } = plurals('fr-FR');
/** With a decimal only where there is one. */
const percent = (share: number) => number(share, share % 1 === 0 ? 0 : 1);

const NOT_ISOLATION =
  'Un relais ouvert n’est pas une consignation : vérifier l’absence de tension avant tout travail.';
const LIMITED = 'essai d’autonomie réduit (2/3, pas la durée entière)';
const LIMITED_TITLE = 'Essai d’autonomie réduit (2/3, pas la durée entière)';

const circuits = (n: number) => count(n, 'circuit', 'circuits');
const lamps = (n: number) => count(n, 'luminaire', 'luminaires');
const days = (n: number) => count(n, 'jour', 'jours');
const obligations = (n: number) => count(n, 'obligation', 'obligations');

export const fr: Words = {
  lang: 'fr',
  locale: 'fr-FR',
  and: ' et ',
  or: ' ou ',

  frame: {
    language: 'Langue',
    pages: 'Pages du site',
    skip: 'Aller au contenu',
    emergencyLighting: 'éclairage de sécurité',
    tonight: 'Cette nuit',
    defects: 'Défauts',
    year: 'Année',
    duties: 'Obligations',
    log: 'Registre de sécurité',
    reports: 'Rapports',
    account: 'Compte',
    accounts: 'Comptes',
    site: 'Bâtiment',
    notice: 'Avis',
    overdue: 'en retard',
    circuit: (id) => `Circuit ${id}`,
    luminaire: (id) => `Luminaire ${id}`,
    duty: (title) => `Obligation ${title}`,
    notFound: 'Page introuvable',
    goHome: 'Aller à « Cette nuit »',
    loading: 'Chargement…',
    nothingYet: 'Rien à montrer pour le moment',
    stillTrying: 'La connexion est toujours tentée.',
    noCircuit: (id) => `Ce bâtiment n’a pas de circuit ${id}`,
    noLuminaire: (id) => `Ce bâtiment n’a pas de luminaire ${id}`,
    noDuty: (id) => `Ce bâtiment n’a pas d’obligation ${id}`,
    fast: (times) => `, avance ${times} fois plus vite`,
  },

  buildings: {
    all: 'Tous les bâtiments',
    title: (n) => count(n, 'bâtiment', 'bâtiments'),
    words: {
      'not served': 'Non pris en charge',
      'in doubt': 'Registre douteux',
      'supply off': 'Alimentation coupée',
      'supply not proven': 'Alimentation non prouvée',
      fault: 'Contrôleur en défaut',
      silent: 'Contrôleur muet',
      defects: 'Défauts ouverts',
      testing: 'Essai en cours',
      'not known': 'Inconnu',
      'in order': 'En ordre',
    },
    building: 'Bâtiment',
    state: 'État',
    newest: 'Dernière défaillance',
    off: 'Alimentation coupée en ce moment',
    next: 'Prochain essai',
    defects: 'Défauts ouverts',
    silent: 'Contrôleurs muets',
    size: (n, luminaires) => `${circuits(n)}, ${lamps(luminaires)}`,
    none: 'Aucun',
    unproven: (n) => `${count(n, 'non prouvée', 'non prouvées')}`,
    forTest: (n) => `${number(n)} pour un essai`,
    neverHeard: (n) => `${count(n, 'jamais entendu', 'jamais entendus')}`,
    waiting: (n) =>
      `${count(n, 'saisie', 'saisies')} sur cet appareil ${form(n, 'attend', 'attendent')} que la page du bâtiment soit ouverte.`,
    notYours: 'Aucun bâtiment ne vous est ouvert. Demandez un rôle à l’administrateur.',
  },

  banners: {
    notices: 'Avertissements',
    lost: 'Connexion perdue,',
    lostMore: (heard) =>
      `${heard}. Ce que vous voyez n’est peut-être plus à jour. La reconnexion est toujours tentée.`,
    lastHeard: (at, age) => `dernières nouvelles à ${at} (${age})`,
    nothingHeard: 'rien reçu pour le moment',
    inDoubt: 'Le registre de sécurité est mis en doute.',
    simulated: 'Contrôleurs simulés.',
    simulatedMore: 'Aucun luminaire réel n’est essayé.',
    waiting: (n) => `${count(n, 'inscription attend', 'inscriptions attendent')} la connexion.`,
    refused: (n) => `${count(n, 'inscription a été refusée', 'inscriptions ont été refusées')}.`,
    see: (n) => form(n, 'La voir', 'Les voir'),
  },

  caution: {
    current: 'Le courant d’une lampe montre qu’elle est allumée ; il ne mesure pas la lumière.',
    checks: 'Les contrôles visuels et photométriques restent nécessaires.',
    relay: 'Un relais ouvert n’est pas une consignation.',
    dead: 'Vérifier l’absence de tension avant tout travail.',
    who: (responsible, rules, zone) =>
      `Responsable de l’éclairage de sécurité : ${responsible}. Règles : ${rules}. Heures : ${zone}.`,
  },

  root: {
    label: 'Racine du registre de sécurité',
    code: 'Racine sous forme de code',
    head: (origin, size, at) => `Registre ${origin}, jusqu’à l’inscription ${number(size)}, ${at}. Racine :`,
    key: 'Clé :',
    keep:
      'Gardez cette feuille : elle permet à chacun de montrer plus tard si une inscription a été modifiée ' +
      '(logbook verify --noted).',
    byHand: 'Racine vue et notée par : ____________________ Date : ____________',
  },

  notice: {
    title: 'Avis sur l’éclairage de sécurité',
    until: (end) => `jusqu’au ${end}`,
    furtherNotice: 'jusqu’à nouvel ordre',
    from: (start) => `du ${start} `,
    mayFail: (start, end) => `L’éclairage de sécurité peut ne pas fonctionner ici ${start}${end}.`,
    someFailed: 'Certains luminaires de secours ne fonctionnent pas ici.',
    notKnown: 'On ne sait pas si l’éclairage de sécurité fonctionne ici.',
    someNotKnown: 'On ne sait pas si tous les luminaires de secours fonctionnent ici.',
    titleMayFail: 'L’éclairage de sécurité peut ne pas fonctionner à certains endroits',
    titleFailed: 'Certains luminaires de secours ne fonctionnent pas',
    titleNotKnown: 'On ne sait pas si l’éclairage de sécurité fonctionne',
    titleSomeNotKnown: 'On ne sait pas si tous les luminaires de secours fonctionnent',
    titleNothing: 'Aucune batterie ne se décharge ni ne se recharge, et aucun essai n’est prévu',
    none: 'Aucun avis n’est à afficher.',
    leaveUp: (who) => `Laisser cet avis affiché jusqu’à son retrait par : ${who}.`,
    takeDown: (at) => `À retirer après le ${at}.`,
    written: (building, at) => `${building}. Établi le ${at}.`,
    print: 'Imprimer',
  },

  risk: {
    discharging: 'Sur batterie',
    recharging: 'En recharge',
    planned: 'Prévu',
    notKnown: 'On ne sait pas si toutes les batteries sont pleines',
    nothing: 'Aucune batterie ne se décharge ni ne se recharge',
    tonight: 'Cette nuit, des batteries ne seront pas pleines',
    now: 'Batteries non pleines',
    toPrint: 'Avis à imprimer et à afficher',
  },

  kinds: {
    '': '',
    brief: 'essai de fonctionnement',
    full: 'essai d’autonomie',
    limited: LIMITED,
    commissioning: 'essai de mise en service',
  },

  phases: {
    starting: 'Démarrage',
    charged: 'Chargé',
    recharging: 'En recharge',
    opening: 'Ouverture du relais',
    brief: 'Essai de fonctionnement',
    full: 'Essai d’autonomie',
    limited: LIMITED_TITLE,
    commissioning: 'Essai de mise en service',
    restoring: 'Rétablissement de l’alimentation',
    outage: 'Coupure du secteur',
    held: 'Suspendu',
    fault: 'Panne du dispositif d’essai',
    neverHeard: 'Jamais entendu',
    silent: 'Muet',
  },

  verdicts: {
    pass: 'réussi',
    fail: 'échoué',
    void: 'nul',
    open: 'en essai',
    untested: 'non essayé',
  },
  counted: {
    pass: (n) => count(n, 'réussi', 'réussis'),
    fail: (n) => count(n, 'échoué', 'échoués'),
    void: (n) => count(n, 'nul', 'nuls'),
    open: (n) => `${number(n)} en essai`,
    untested: (n) => count(n, 'non essayé', 'non essayés'),
  },
  glow: { lit: 'allumé', dim: 'faible', dark: 'éteint', none: 'aucune mesure' },
  tests: {
    due: 'prévu',
    running: 'en cours',
    pass: 'réussi',
    fail: 'échoué',
    void: 'nul',
    stopped: 'arrêté',
    'not run': 'non effectué',
    'not known': 'inconnu',
  },
  modes: {
    'non-maintained': 'non permanent',
    maintained: 'permanent',
    'switched maintained': 'permanent commandé',
    combined: 'combiné',
  },

  time: {
    secondsAgo: (n) => `il y a ${number(n)} s`,
    minutesAgo: (n) => `il y a ${number(n)} min`,
    hoursAgo: (n) => `il y a ${number(n)} h`,
    daysAgo: (n) => `il y a ${days(n)}`,
  },

  contact: {
    never: 'Jamais entendu',
    silent: (at) => `Muet depuis ${at}`,
    late: (at) => `En retard, dernières nouvelles ${at}`,
    reporting: (at) => `En contact, dernières nouvelles ${at}`,
    recharging: (until) => `Batteries en recharge jusqu’à ${until}`,
    cannotStart: (why) => `Un essai ne peut pas commencer : ${why}`,
    held: (who, until) => `Suspendu par ${who} jusqu’à ${until}`,
    attended: (who, until) => `Électricien au travail ici jusqu’à ${until} : ${who}`,
    willAttend: (who, from, until) => `Électricien au travail ici de ${from} jusqu’à ${until} : ${who}`,
    notKnown: 'inconnu',
    whenLastHeard: (word) => `inconnu ; dernier état connu : ${word}`,
    on: 'présente',
    off: 'absente',
    open: 'ouvert',
    closed: 'fermé',
    before: 'Alimentation avant le relais',
    after: 'Alimentation après le relais',
    relay: 'Relais',
    controller: 'Contrôleur',
    senses: (after, relay) => `Alimentation après le relais : ${after}. Relais : ${relay}.`,
  },

  headline: {
    noReports: 'Aucun contrôleur n’a encore donné de nouvelles.',
    nothingKnown: (n) =>
      `Aucun contrôleur n’a encore donné de nouvelles : rien n’est connu de ${circuits(n)}.`,
    several: (n, told) => `${circuits(n)} : ${told}.`,
    one: (n, group) => `${n === 1 ? '' : 'Les '}${circuits(n)} : ${group}.`,
    groups: {
      onBattery: () => 'sur batterie maintenant',
      fault: () => 'avec une panne du dispositif d’essai',
      outage: () => 'de retour après une coupure',
      testing: () => 'en essai',
      recharging: () => 'en recharge',
      held: (n) => form(n, 'suspendu', 'suspendus'),
      charged: (n) => form(n, 'chargé', 'chargés'),
      notKnown: () => 'à l’état inconnu',
    },
    nothing: 'Rien à traiter.',
    attention: (luminaires, affected) => {
      const parts = [
        ...(luminaires > 0 ? [lamps(luminaires)] : []),
        ...(affected > 0 ? [circuits(affected)] : []),
      ];
      return `À traiter : ${parts.join(' et ')}.`;
    },
    tally: (n, parts) => (parts === '' ? `${lamps(n)}.` : `${lamps(n)} : ${parts}.`),
  },

  tonight: {
    running: 'En cours',
    building: 'Le bâtiment',
    title: 'Essais de cette nuit',
    titleOf: (from, to) => `Essais de cette nuit : du ${from} au ${to}`,
    next: (from, to) => `Prochaine nuit d’essais : du ${from} au ${to}`,
    nonePlanned: 'Aucun essai prévu.',
    window: 'Plage d’essai',
    circuit: 'Circuit',
    test: 'Essai',
    state: 'État',
    notPassed: (circuit) => `Luminaires de ${circuit} qui n’ont pas réussi`,
    passed: (n, isRest) =>
      isRest
        ? `${count(n, 'autre luminaire a', 'autres luminaires ont')} réussi.`
        : `${count(n, 'luminaire a', 'luminaires ont')} réussi.`,
  },

  attention: {
    title: 'À traiter',
    next: 'Ensuite :',
    allDefects: 'Tous les défauts : qui s’en occupe, et pour quand',
    since: (at) => `Depuis ${at}`,
    sinceDays: (day, n) => `Depuis ${day}, ${days(n)}`,
    neverHeard: 'Contrôleur jamais entendu',
    notHeard: 'Contrôleur non entendu depuis le démarrage de l’hôte',
    neverHeardNext: 'Vérifier son alimentation et son réseau, et qu’il a été configuré pour ce circuit.',
    silent: 'Contrôleur muet',
    silentNext: 'Vérifier l’alimentation et le réseau du contrôleur ; aller voir si le secteur est présent.',
    outage: 'Coupure du secteur',
    outageNext: 'Chercher pourquoi le secteur est coupé.',
    fault: 'Panne du dispositif d’essai',
    faultNext:
      'Examiner le dispositif d’essai : relais, capteurs, câblage. Une fois réparé, acquitter la panne.',
    unconfirmed: 'Alimentation non confirmée',
    unconfirmedNext: 'Y aller maintenant et rétablir l’alimentation à la main.',
    failed: 'Luminaire échoué',
    failedNext: 'Le réparer, puis signaler la réparation sur sa page.',
    retestOpen: 'Réparé ; son nouvel essai est en préparation.',
    retestAt: (at) => `Réparé ; attendre le nouvel essai : ${at}.`,
    stopped: 'Essai arrêté',
    stoppers: {
      order: 'quelqu’un',
      'key switch': 'l’interrupteur à clé',
      'stop input': 'l’alarme incendie ou l’entrée d’arrêt',
    },
    stoppedBy: (kind, who, unjudged, luminaires) =>
      `${kind} : arrêt par ${who}. ${unjudged === luminaires ? 'Rien n’a été jugé.' : `${number(unjudged)} sur ${count(luminaires, 'luminaire', 'luminaires')} non jugés.`}`,
    againAt: (at) => `Il sera refait : ${at}.`,
    againOpen: 'La prochaine tentative est en cours de planification.',
    overdue: (n) => count(n, 'essai en retard', 'essais en retard'),
    overdueMore: 'Aucune des tentatives prévues n’a donné de résultat.',
    overdueNext: 'Sa page dit ce qu’il attend ; ou lancer l’essai pendant que quelqu’un y travaille.',
    held: 'Essais toujours suspendus',
    heldNext: 'Lever la suspension dès que le travail est terminé.',
    anew: 'Contrôleur reparti avec une mémoire vide',
    anewMore:
      'Sa mémoire a été effacée, ou il a été remplacé. Ce qu’il n’avait pas encore envoyé est perdu ; réglages et ' +
      'plan sont renvoyés automatiquement.',
    anewNext:
      'Si personne ne l’a remplacé, le faire examiner. Affiché jusqu’à la fin de son prochain essai complet.',
    fullOverdue: 'Essai d’autonomie en retard',
    fullOverdueMore:
      'Le dernier essai d’autonomie est plus ancien que les règles ne le permettent. Les essais réduits ne comptent pas.',
    fullOverdueNext:
      'Lancer un essai d’autonomie pendant que quelqu’un y travaille, ou faire élargir les plages d’essai.',
    neverFull: 'Jamais d’essai d’autonomie',
    neverFullMore: 'Les règles demandent le premier essai d’autonomie dans le même délai que les suivants.',
    duties: (n) => `${obligations(n)} en retard`,
    longest: (duty) => `Depuis le plus longtemps : ${duty}.`,
    dutiesNext: 'À faire ou à faire faire, puis à inscrire.',
    dutiesUnknown: 'Obligations non connues',
    dutiesUnknownMore: 'L’hôte n’a pas dit ce qui est à vérifier.',
    dutiesUnknownNext: 'Attendre : la question est reposée d’elle-même. Si cela dure, examiner l’hôte.',
    findings: (n) => count(n, 'constat non corrigé', 'constats non corrigés'),
    oldest: (finding) => `Le plus ancien : ${finding}.`,
    findingsNext: 'Faire corriger, puis inscrire comme en ordre.',
    failedFull: 'a échoué à son dernier essai d’autonomie',
    litFor: (length) => `, allumé pendant ${length}`,
  },

  circuit: {
    luminaires: 'Luminaires de secours',
    luminaire: 'Luminaire de secours',
    place: 'Emplacement',
    mode: 'Mode de fonctionnement',
    state: 'État',
    lastProven: 'Dernière preuve',
    lastAttempt: 'Dernière tentative',
    lastFull: 'Dernier essai d’autonomie',
    facts: (floor, areas, rated) => `${floor}. Zones : ${areas}. Autonomie assignée ${rated}.`,
    shared: 'Le relais coupe aussi l’éclairage normal ; il ne s’ouvre donc que lorsque la zone est vide.',
    lastFullOn: (last, due) =>
      `Le dernier essai d’autonomie date du ${last} ; le suivant est à faire avant le ${due}.`,
    noFull: 'Aucun essai d’autonomie n’est enregistré.',
    limited: 'Des essais réduits (2/3) sont prévus ici parce que des personnes y sont toujours présentes.',
    limitedMore: 'L’essai d’autonomie reste dû, sauf si la règle locale accepte l’essai réduit.',
    orders: 'Ordres',
    now: 'Maintenant',
    log: 'Registre de sécurité de ce circuit',
  },

  running: {
    label: (circuit) => `Essai en cours ${circuit}`,
    notStarted: 'Pas encore commencé',
    of: (length) => `sur ${length}`,
    soFar: (circuit) => `Essai de ${circuit} jusqu’ici`,
    lamps: 'Luminaires en essai',
    lampsOf: (circuit) => `Luminaires de ${circuit} en essai`,
    curve: (lines, failed) =>
      `Courants des lampes jusqu’ici, en pourcentage de la valeur de mise en service, ${number(lines)} lignes, échecs : ${number(failed)}`,
    caption: (floor) =>
      'Courant des lampes pendant l’essai, depuis l’ouverture de cette page. Trait fin : 100 % du courant de ' +
      `mise en service. Trait tireté : ${number(floor)} %, le minimum pour qu’une lampe compte comme allumée.`,
    restoring: 'Rétablissement de l’alimentation…',
    tryRestore: 'Essayer de rétablir l’alimentation',
    hostLost:
      'Pas de contact avec l’hôte : appuyer n’aura peut-être aucun effet. À l’interrupteur à clé du circuit, tourner la clé ' +
      '5 s, puis la ramener : l’essai s’arrête, l’alimentation revient.',
  },

  lamp: {
    nothingYet: 'rien pour le moment',
    noneYet: 'aucun pour le moment',
    same: 'la même',
    lit: (verdict, length, at) => `${verdict}, allumé ${length}, ${at}`,
  },

  luminaire: {
    more: (mode, rated, chemistry, fitted) =>
      `Mode : ${mode}. Autonomie assignée ${rated}. Batterie ${chemistry}, posée ${fitted}.`,
    state: 'État',
    lasts: (proven, attempt) => `Dernière preuve : ${proven}. Dernière tentative : ${attempt}`,
    diagnosis: 'Diagnostic :',
    outlook: 'Perspective de la batterie :',
    notTested: 'Pas essayé depuis la réparation :',
    curves: 'Courbes de décharge, année par année',
    noCurve: 'Aucun essai d’autonomie n’a encore enregistré de courbe.',
    curvesLabel: (n, minutes) =>
      `Courbes de décharge de ${count(n, 'essai d’autonomie', 'essais d’autonomie')}, autonomie assignée ${number(minutes)} minutes ; décrites ci-dessous`,
    litFor: (length) => `allumé pendant ${length}`,
    litToEnd: 'allumé jusqu’au bout',
    below: (floor, length) => `sous ${number(floor)} % après environ ${length}`,
    curveKey: (day, lit, bound) => `${day} : ${lit}, courbe exacte à ± ${number(bound)} % près`,
    minimum: (floor) => `Valeur minimale, ${number(floor)} %`,
    rated: (minutes) => `assignée ${number(minutes)} min`,
    minutes: 'Minutes sur batterie',
    percent: '% du courant de mise en service',
    results: 'Résultats',
    noResults: 'Pas encore essayé.',
    when: 'Quand',
    test: 'Essai',
    verdict: 'Résultat',
    lit: 'Allumé',
    at5: 'à 5 s',
    at60: 'à 60 s',
    atEnd: 'à la fin',
    entry: 'Inscription',
    baseline: 'Courant de mise en service',
    onBattery: (battery) => `${number(battery)} mA sur batterie`,
    onBoth: (battery, mains) => `${number(battery)} mA sur batterie, ${number(mains)} mA sur secteur`,
    judged: 'Jugé par rapport à',
    fromSite: ', d’après le fichier du site.',
    expected: ', d’après le fichier du site ; seulement attendu, personne ne l’a mesuré.',
    acceptedBy: (who, day, site) => `, accepté par ${who} le ${day} (fichier du site : ${site}).`,
    measured: (day, currents) => `Mesuré lors du dernier essai complet, ${day} : ${currents}.`,
    notMeasured: 'Aucun essai complet ne l’a encore mesuré.',
    cannotAccept: 'Ces valeurs ne peuvent pas être acceptées.',
    defects: (n) => form(n, 'Défaut', 'Défauts'),
  },

  orders: {
    sending: 'Envoi…',
    choose: 'Choisir…',
    yourName: 'Votre nom',
    dismiss: 'Masquer',
    nameMissing: 'Indiquez votre nom : le registre de sécurité note qui a donné l’ordre.',
    nameLong: (most) => `Utilisez au plus ${number(most)} caractères.`,
    nameLetters:
      'Utilisez des lettres, des chiffres et de la ponctuation : pas de " ni de \\, ni de caractères invisibles.',
    forHowLong: 'Pour combien de temps',
    howMuch: 'De combien',
    whichTest: 'Quel essai',
    chooseTest: 'Choisissez l’essai.',
    whatDone: 'Ce qui a été fait',
    chooseDone: 'Choisissez ce qui a été fait : cela décide de l’essai qui suit.',
    hours: (n) => count(n, 'heure', 'heures'),
    days,
    minutes: (n) => count(n, 'minute', 'minutes'),
    parts: {
      battery: 'Batterie remplacée',
      lamp: 'Lampe remplacée',
      'driver or charger': 'Alimentation de lampe ou chargeur remplacé',
      'whole luminaire': 'Luminaire entier remplacé',
      other: 'Autre chose, comme un mauvais contact',
    },
    cost: (off, recharge) =>
      `L’alimentation sera coupée pendant ${off}, puis les batteries se rechargent pendant ${recharge}.`,
    notIsolation: NOT_ISOLATION,
    restore: {
      button: 'Rétablir l’alimentation maintenant',
      consequence: 'L’alimentation revient maintenant. Cet essai est nul et sera refait.',
      yes: 'Oui, rétablir l’alimentation maintenant',
      no: 'Non, laisser l’essai se poursuivre',
    },
    'clear fault': {
      button: 'Acquitter la panne',
      consequence:
        'Seulement si le relais et son câblage sont réparés et vérifiés : le contrôleur reprendra de lui-même les ' +
        'essais et coupera l’alimentation.',
      yes: 'Oui, réparé : acquitter',
      no: 'Non, ne rien changer',
    },
    hold: {
      button: 'Suspendre les essais',
      consequence:
        'Aucun essai ne commence sur ce circuit avant la fin du délai ou la levée de la suspension. Un essai en ' +
        'cours se termine maintenant et est nul.',
      yes: 'Oui, suspendre les essais',
      no: 'Non, continuer les essais',
    },
    release: {
      button: 'Lever la suspension',
      consequence:
        'Seulement si le travail est terminé : les essais reprennent d’eux-mêmes dans la plage d’essai et coupent ' +
        'l’alimentation.',
      yes: 'Oui, lever la suspension',
      no: 'Non, garder la suspension',
    },
    test: {
      button: 'Lancer un essai maintenant',
      consequence:
        'L’alimentation de ces luminaires est coupée dès que le contrôleur le permet. S’il refuse, il dit pourquoi.',
      yes: 'Oui, lancer l’essai',
      no: 'Non, annuler',
    },
    extend: {
      button: 'Prolonger pour une ronde',
      consequence:
        'L’alimentation reste coupée plus longtemps, et les batteries ont ensuite besoin d’une recharge complète.',
      yes: 'Oui, prolonger l’essai',
      no: 'Non, terminer comme prévu',
    },
    attend: {
      button: 'Je travaille ici',
      consequence:
        'Des essais de ce circuit peuvent maintenant être lancés à la demande, même de jour, mais seulement ses ' +
        'propres jours : des circuits voisins ne sont jamais essayés ensemble.',
      yes: 'Oui, je travaille ici',
      no: 'Non, annuler',
    },
    acceptAll: {
      button: 'Accepter tous les courants mesurés',
      consequence:
        'Désormais les luminaires de ce circuit sont jugés d’après les courants mesurés. Regardez d’abord chacun : il doit ' +
        'être lumineux, propre et intact. Une lampe faible, une fois acceptée, n’est plus jamais signalée.',
      yes: 'Oui, tout accepter',
      no: 'Non, laisser',
    },
    accept: {
      button: 'Accepter les courants mesurés',
      consequence:
        'Désormais ce luminaire est jugé d’après les courants mesurés. Regardez-le d’abord : il doit être lumineux, ' +
        'propre et intact. Une lampe faible, une fois acceptée, n’est plus jamais signalée.',
      yes: 'Oui, accepter',
      no: 'Non, ne rien changer',
    },
    repaired: {
      button: 'Signaler une réparation',
      consequence:
        'Seulement si le travail est terminé : la réparation entre au registre de sécurité et le luminaire est essayé ' +
        'de nouveau dans la plage d’essai, ce qui coupe l’alimentation de son circuit. Seul un essai réussi lève le ' +
        'défaut.',
      yes: 'Oui, signaler la réparation',
      no: 'Non, pas encore',
    },
    leave: {
      button: 'Je m’en vais',
      consequence: 'Aucun essai ne peut plus être lancé à la demande hors de la plage d’essai.',
      yes: 'Oui, je m’en vais',
      no: 'Non, encore ici',
    },
  },

  progress: {
    accepted: 'ordre accepté.',
    notAccepted: 'ordre non accepté.',
    recorded: 'réparation inscrite.',
    notRecorded: 'réparation non inscrite.',
    noAnswer: 'aucune réponse à l’ordre.',
    soFar: (sentence) => `Jusqu’ici : ${sentence}`,
    waiting: (why) => `En attente : ${why}`,
    waitingResult: 'Le résultat est attendu.',
    waitingSupply: 'en attente du retour de l’alimentation…',
    back: 'l’alimentation est revenue.',
    alreadyBack: 'l’alimentation est déjà revenue.',
    restored: 'l’alimentation a été rétablie.',
    notBack: 'l’alimentation N’EST PAS revenue.',
    waitingTest: 'Le résultat de l’essai est attendu.',
    stopped: (who, at) => `${who} a arrêté l’essai à ${at}.`,
    nothingJudged: 'Rien n’a été jugé.',
    again: 'L’essai sera refait.',
    againAt: (at) => `L’essai sera refait : ${at}.`,
    testedSince: 'Il a été essayé depuis ; son état est sur sa page.',
    retestAt: (at) => `Le nouvel essai est prévu : ${at}.`,
    retestOpen: 'Le nouvel essai est en préparation.',
    silent: 'On ne sait pas ce qu’il en est : le contrôleur est muet.',
    held: (held) => `Fait : ${held}.`,
    onHold: 'suspendu',
    notHeld: 'Pas encore suspendu.',
    stillHeld: 'Toujours suspendu.',
    done: (sentence) => `Fait. ${sentence}`,
    notCleared: 'La panne n’est pas encore acquittée.',
    result: (text) => `Résultat : ${text}`,
    notShown: 'Le registre de sécurité ne montre pas encore si le contrôleur a reçu l’ordre.',
  },

  defects: {
    title: (n, lamps, unproven) => {
      const told = n === 0 ? 'Aucun défaut ouvert' : count(n, 'défaut ouvert', 'défauts ouverts');
      const parts = [
        ...(lamps > 0 ? [count(lamps, 'luminaire', 'luminaires')] : []),
        ...(unproven > 0 ? [count(unproven, 'circuit', 'circuits')] : []),
      ];
      const proven = form(lamps + unproven, 'prouvé', 'prouvés');
      return parts.length === 0 ? told : `${told}, ${parts.join(' et ')} non ${proven}`;
    },
    overdue: (n) => `${number(n)} en retard`,
    toRetest: (n) => `${count(n, 'réparé et à essayer', 'réparés et à essayer')} de nouveau`,
    ownerless: (n) => `${number(n)} sans responsable`,
    open: 'Ouvert',
    closed: 'Clos',
    retestDue: 'Nouvel essai à faire',
    notProven: 'Non prouvé',
    late: 'En retard',
    more: (n) => `En afficher ${number(n)} de plus`,
    all: (n) => `Afficher les ${number(n)}`,
    closedRange: (from, to, all) => `Clos, ${number(from)} à ${number(to)} sur ${number(all)}`,
    newer: 'Plus récents',
    older: 'Plus anciens',
    forgotten: (n) =>
      `${count(n, 'plus ancien n’est', 'plus anciens ne sont')} que dans le registre de sécurité.`,
    openThenClosed: (n, day, entry) =>
      `Resté ouvert ${days(n)}, clos le ${day} par l’essai réussi de l’inscription ${entry}.`,
    nobodyKnows: 'Personne ne sait depuis quand.',
    openSince: (n, day) => `Ouvert depuis ${days(n)}, depuis ${day}.`,
    notProvenSince: (n, day) => `Non prouvé depuis ${days(n)}, depuis ${day}.`,
    notClosedSince: (n, day) => `Non clos depuis ${days(n)}, depuis ${day}.`,
    fails: (n) => `${count(n, 'essai a échoué', 'essais ont échoué')}.`,
    cameBack: (n) => `Revenu ${number(n)} fois après avoir été clos.`,
    noDate: 'pas de date',
    overdueBy: (date, n) => `${date}, en retard de ${days(n)}`,
    repaired: 'réparé',
    ownerAndDate: 'Responsable et date',
    of: (what) => ` de ${what}`,
    noTestNow: 'Sur place, pas d’essai maintenant :',
    ready: (kind) => `Prêt pour le nouvel essai, à lancer maintenant : ${kind}.`,
    sayFirst: 'Signalez d’abord que vous travaillez ici.',
    owner: 'Responsable',
    nobody: 'encore personne',
    due: 'Échéance',
    interim: 'D’ici là',
    noInterim: 'aucune mesure compensatoire inscrite',
    remark: 'Remarque',
    lastRepair: 'Dernière réparation',
    next: 'Ensuite :',
    report: (luminaire) => `Signaler la réparation de ${luminaire}`,
    whoSees: 'Qui s’en occupe',
    protectedBy: 'D’ici là, les personnes sont protégées par',
    enter: 'Inscrire',
    cancel: 'Annuler',
  },

  duties: {
    marks: { 'in order': 'En ordre', 'not in order': 'Pas en ordre', 'not applicable': 'Sans objet' },
    intro:
      'Aucun essai ne voit la saleté, un panneau caché ou un luminaire manquant. Les personnes les voient.',
    overdueAndDue: (overdue, due) => `${obligations(overdue)} en retard, ${number(due)} à faire aujourd’hui.`,
    overdue: (n) => `${obligations(n)} en retard.`,
    dueToday: (n) => `${obligations(n)} à faire aujourd’hui.`,
    nothingDue: 'Rien n’est à faire aujourd’hui.',
    done: 'fait',
    today: 'à faire aujourd’hui',
    overdueSince: (n, date) => `en retard de ${days(n)}, échéance ${date}`,
    dueIn: (n, date) => `à faire d’ici ${days(n)}, ${date}`,
    dueOn: (date) => `échéance ${date}`,
    every: (every, by) => `${capital(every)}, par ${by}.`,
    last: (day, who) => `Dernière fois le ${day}, ${who}.`,
    never: 'Jamais inscrit.',
    left: (ids, more) => `Reste à voir : ${ids}${more > 0 ? ` et ${number(more)} de plus` : ''}.`,
    enter: 'Inscrire',
    doneBy: (title, at, who) => `${title}, fait le ${at} par ${who}.`,
    refuses: 'L’hôte la refuse :',
    sendAgain: 'Renvoyer',
    notTaken: 'Pas encore reprise :',
    all: 'Tout ce qui a été saisi',
    remove: 'L’effacer de cet appareil',
    outgoing: 'Inscriptions sur cet appareil',
    onDevice: 'Sur cet appareil, pas encore dans le registre de sécurité',
    nothingLost: 'Rien n’est perdu si vous fermez la page.',
    whole: 'Tout le bâtiment',
    area: (name) => `Zone : ${name}`,
    circuit: (id, name) => `Circuit ${id} : ${name}`,
    unanswered: (n) => `${count(n, 'point reste', 'points restent')} sans réponse.`,
    sayWhat: (asked) => `Dites ce qui n’est pas en ordre, ou quel luminaire : « ${asked} »`,
    tooLong: (most, start) => `Utilisez au plus ${number(most)} caractères : « ${start}… »`,
    entryTooLong:
      'L’inscription est trop longue. Nommez moins de luminaires, écrivez moins, ou inscrivez une partie du bâtiment ' +
      'après l’autre.',
    nameMissing: 'Indiquez votre nom : le registre de sécurité note qui a regardé.',
    whenMissing: 'Indiquez le jour et l’heure où cela a été fait.',
    notYet: 'Ce moment n’est pas encore venu.',
    notSo: (asked) => `ce n’est pas le cas : ${asked}`,
    doneNow: 'Fait : maintenant.',
    wasEarlier: 'C’était plus tôt',
    whenDone: 'Quand cela a été fait, à l’heure du bâtiment',
    whichPart: 'Quelle partie',
    restInOrder: 'Tous les autres sont en ordre',
    anythingElse: 'Autre chose',
    storing: 'Enregistrement…',
    enterLog: 'Inscrire au registre de sécurité',
    offline: 'Sans connexion, elle reste sur cet appareil et est envoyée dès qu’il y en a une.',
    written: 'Où cela est écrit',
    practice: 'Les points sont d’usage courant lorsque la source ne les énumère pas.',
    takeAway: 'enlever',
    whichLuminaires: 'Quels luminaires',
    noneNamed: 'Aucun nommé ; choisir…',
    oneMore: 'Un de plus…',
    whatFound: 'Ce qui a été constaté',
    found: 'Constaté par des personnes, et pas inscrit comme en ordre depuis',
    foundBy: (who, day) => `Constaté par ${who}, depuis ${day}.`,
    cannotStore: (why) => `Cet appareil ne peut pas enregistrer l’inscription : ${why}`,
    cannotRead: (why) => `Ce qui attend sur cet appareil ne peut pas être lu : ${why}`,
    strange: 'Quelque chose entre cet appareil et l’hôte répond à sa place.',
  },

  log: {
    filter: 'Filtre',
    circuit: 'Circuit',
    allCircuits: 'Tous les circuits',
    kind: 'Type',
    allKinds: 'Tous les types',
    record: 'Enregistrement',
    number: (n) => `n° ${n}`,
    hash: 'Empreinte',
    showOlder: 'Montrer les inscriptions plus anciennes',
    marks: { pass: 'réussi', fail: 'échoué', void: 'nul', alarm: 'alarme', note: 'note' },
    kinds: {
      failed: 'Essai échoué',
      result: 'Résultat d’essai',
      intent: 'Essai commencé',
      fault: 'Panne ou alarme',
      cleared: 'Panne acquittée',
      outage: 'Coupure du secteur',
      supply: 'Alarme d’alimentation',
      charge: 'Recharge',
      held: 'Essais suspendus',
      reminder: 'Toujours suspendus',
      released: 'Suspension levée',
      overdue: 'Essai en retard',
      order: 'Ordre au contrôleur',
      refused: 'Ordre refusé',
      ordered: 'Ordre envoyé',
      answered: 'Réponse à un ordre',
      kept: 'Mis à part',
      clock: 'Horloge réglée',
      chip: 'Circuit d’horloge',
      start: 'Démarrage du contrôleur',
      attended: 'Électricien au travail',
      baseline: 'Courants des lampes acceptés',
      repaired: 'Réparation',
      defect: 'Qui s’occupe d’un défaut',
      inspection: 'Vu par des personnes',
      withdrawn: 'Inscription retirée',
      site: 'Site modifié',
      account: 'Compte',
      listed: 'Luminaires d’un circuit',
    },
    withdraw: {
      open: 'Inscrit par erreur ? Retirer',
      of: (n) => `inscription ${n}`,
      form: (n) => `Retirer l’inscription ${n}`,
      what:
        'Elle reste dans le registre comme retirée. Ce qu’elle a produit prend fin : une réparation ne demande plus ' +
        'd’essai, une ronde n’a pas été faite.',
      why: 'Pourquoi',
      noWhy: 'Dites pourquoi elle est retirée.',
      send: 'Retirer',
      noAnswer: 'Aucune réponse de l’hôte : rechargez la page pour voir si l’inscription est retirée.',
    },
    brokenAt: (entry) => `Chaîne rompue à l’inscription ${entry}.`,
    broken: 'Chaîne rompue.',
    keepFile: 'Gardez le fichier tel quel et lancez « logbook verify » pour savoir tout ce qui ne va pas.',
    checkedTo: (checked, all) => `Chaîne vérifiée jusqu’à l’inscription ${checked} sur ${all} pour le moment`,
    restChecked: 'Le reste est en cours de vérification.',
    validNone: 'Chaîne valide, aucune inscription pour le moment',
    valid: (range) => `Chaîne valide, ${range}`,
    checkedAt: (at) => `Vérifiée ${at}. « logbook verify » vérifie les signatures et le fichier lui-même.`,
    entry: (n) => `inscription ${n}`,
    entries: (from, to) => `inscriptions ${from} à ${to}`,
    notLooked: (before) => `Les inscriptions avant ${before} n’ont pas été examinées.`,
    noneOfKind: 'Aucune inscription de ce type.',
    noneFound: 'Aucune trouvée.',
    shown: (n, range) => `Montré ici : ${n}, ${range}.`,
    shownOf: (n, all, range) => `Montré ici : ${n} sur ${all}, ${range}.`,
    shownAll: (all) => `Montré ici : toutes, ${all}.`,
  },

  year: {
    brief: 'Essai de fonctionnement',
    full: 'Essai d’autonomie',
    limited: LIMITED_TITLE,
    recharge: 'Encore en recharge le lendemain',
    under: (hours) => `Exposition de moins de ${number(hours)} h`,
    between: (from, to) => `Exposition de ${number(from)} à ${number(to)} h`,
    more: (hours) => `Exposition de ${number(hours)} h ou plus`,
    key: 'Légende',
    nothing: (month) => `Rien n’est prévu en ${month}.`,
    previous: 'Précédent',
    previousMonth: 'Mois précédent',
    next: 'Suivant',
    nextMonth: 'Mois suivant',
    month: 'Mois',
    plannedTo: (day, exposure) =>
      `Prévu jusqu’au ${day}. Exposition ${exposure} : heures où des personnes sont dans une zone, multipliées par ` +
      'la part de ses luminaires qui ne sont pas prêts.',
    calendar: 'Calendrier du plan',
    calendarMore: ' : s’abonner à ce lien dans une application d’agenda.',
    calendarToken:
      'Une application d’agenda ne peut pas s’identifier : un administrateur crée une clé pour elle, sous Comptes.',
    facts:
      'Une nuit va de midi à midi et figure sous le jour où elle commence. Chaque essai est montré à sa première ' +
      'occasion ; s’il ne peut pas avoir lieu alors, il passe à une nuit suivante.',
    byMonth: 'Mois par mois',
    byNight: (month) => `${month}, nuit par nuit`,
    underTenth: `moins de ${number(0.1, 1)} h`,
    hours: (n) => `${number(n, 1)} h`,
    marks: {
      brief: 'essai de fonctionnement',
      full: 'essai d’autonomie',
      limited: 'essai d’autonomie réduit (2/3)',
      commissioning: 'essai de mise en service',
      recharge: 'recharge',
    },
    on: (mark, list) => `${mark} le ${list}`,
    row: (circuit, told) => `${circuit} : ${told}.`,
    rowNothing: 'rien de prévu',
    inDark: ', dans l’obscurité',
    inDaylight: ', à la lumière du jour',
    exposure: (hours) => `Exposition ${hours}.`,
    fullAgain: (at) => `batteries de nouveau pleines ${at}`,
    rechargingAfter: (kind, full) => `en recharge après : ${kind}, ${full}.`,
  },

  floor: {
    title: 'Plan d’étage',
    plans: 'Plans d’étage',
    states: 'États',
    trouble: 'Circuits en difficulté',
    none: 'Aucun plan d’étage',
    noneMore:
      'Ce bâtiment n’en a pas encore. Son fichier de site peut nommer des images, et la place de chaque luminaire.',
    noPlan: (id) => `Ce bâtiment n’a pas de plan d’étage ${id}`,
    onPlan: 'Sur le plan',
    notPlaced: 'Non placés',
    lamps: 'Luminaires sur le plan',
    picture: (name) => `Plan d’étage : ${name}`,
    noPicture: 'L’image de ce plan ne peut pas être montrée. La liste est complète sans elle ;',
    noPictureMore: 'dit ce qui ne va pas dans l’image.',
    words: (placed, missing) =>
      `${lamps(placed)} sur le plan${missing === 0 ? '' : `, ${count(missing, 'non placé', 'non placés')}`}.`,
    lamp: {
      fail: 'échoué',
      'not known': 'inconnu',
      'retest due': 'nouvel essai à faire',
      'under test': 'en essai',
      void: 'nul',
      untested: 'non essayé',
      pass: 'réussi',
    },
    inTest: 'dans l’essai en cours',
    notTestedSince: 'réparé, et pas essayé depuis',
    neverHeard: 'son contrôleur n’a jamais donné de nouvelles',
    silent: (verdict) => `son contrôleur est muet ; dernier résultat : ${verdict}`,
  },

  placing: {
    start: 'Placer les luminaires',
    how: 'Choisissez un luminaire, puis cliquez à sa place sur le plan.',
    which: 'Luminaire à placer',
    choose: 'En choisir un',
    changed:
      'Rien n’a été enregistré : le fichier du site a été modifié depuis que vous avez commencé. Enregistrez encore une ' +
      'fois pour mettre ces places dans le fichier actuel.',
    forFile: 'Pour le fichier du site',
    toWrite: 'Ce qu’il faut y écrire à chaque luminaire :',
    form: 'Enregistrer les places',
    saving: 'Enregistrement…',
    save: (n) => `Enregistrer ${count(n, 'place', 'places')}`,
    spot: (across, down) => `${percent(across)} % depuis la gauche, ${percent(down)} % depuis le haut`,
    notYet: 'pas encore sur le plan',
    noneChosen: 'Aucun luminaire n’est choisi.',
    byKeys: (id) => `Déplacer ${id} avec les flèches`,
    takeOff: (id) => `Retirer ${id} du plan`,
    stop: 'Cesser de placer',
    stopUnsaved: 'Cesser sans enregistrer',
    unanswered:
      'Aucune réponse de l’hôte : c’est peut-être enregistré, peut-être pas. Rechargez la page et regardez avant de ' +
      'recommencer.',
  },

  reports: {
    intro:
      'Tous les résultats d’une période, ce qui était en retard ou manque, et ce qui est défectueux : en attestation ' +
      'd’essai à imprimer, signer et classer (PDF), ou en tableau. Les rapports sont en anglais.',
    label: 'Rapport',
    first: 'Premier jour',
    last: 'Dernier jour',
    paper: 'Papier',
    letter: 'Lettre US',
    making: 'En préparation…',
    makePdf: 'Établir l’attestation (PDF)',
    makeTable: 'Établir le tableau',
    makeOwn: 'Ses douze derniers mois en PDF',
    made: (name) => `Établi : ${name}`,
    giveDates: 'Indiquez le premier et le dernier jour.',
    wrongOrder: 'Le dernier jour précède le premier.',
  },

  labels: {
    title: 'Étiquettes',
    intro:
      'Une pour chaque luminaire, avec un code qui ouvre sa page. À imprimer à 100 %, sans ajustement à la page. ' +
      'Les étiquettes sont en anglais.',
    address: 'Adresse à laquelle les téléphones ouvrent cette page',
    ownMachine: 'Seule la machine de l’hôte ouvre cette adresse, aucun téléphone.',
    sheet: 'Planches',
    sheets: {
      'a4 3x8': 'A4, 24 étiquettes de 70 × 37 mm',
      'a4 3x7': 'A4, 21 étiquettes de 63,5 × 38,1 mm',
      'letter 2x5': 'Lettre US, 10 étiquettes de 4 × 2 pouces',
    },
    make: 'Établir les étiquettes',
  },

  host: {
    silent: 'L’hôte ne répond pas. Vérifiez qu’il fonctionne et que cet appareil est sur son réseau.',
    nothingHere: 'L’hôte n’a rien à cette adresse. Vérifiez l’adresse.',
    failed: (status) => `L’hôte n’a pas pu répondre (${status}). Réessayez dans un instant.`,
    noAnswer:
      'Aucune réponse de l’hôte : l’ordre est peut-être arrivé, peut-être pas. Surveillez le circuit ; si l’alimentation ' +
      'reste coupée, utilisez l’interrupteur à clé.',
    noReport: 'L’hôte n’a pas répondu. Vérifiez qu’il fonctionne, et réessayez.',
    reportFailed: (status) => `L’hôte n’a pas pu établir le rapport (${status}).`,
  },

  signIn: {
    stranger: (id) => `Vous êtes connecté sous le compte ${id}, sans rôle dans ce bâtiment.`,
    title: 'Se connecter',
    account: 'Compte',
    password: 'Mot de passe',
    send: 'Se connecter',
    sending: 'Connexion…',
    show: 'Afficher le mot de passe',
    haveCode: 'J’ai un code à usage unique',
    code: 'Code à usage unique',
    newPassword: 'Nouveau mot de passe',
    rule: (least) =>
      `${least} caractères ou plus. Ni votre nom ni celui du bâtiment. Quatre mots pris au hasard conviennent.`,
    choose: 'Enregistrer le mot de passe et se connecter',
    first: 'Créez votre compte (le premier)',
    firstHow:
      'Le code est à l’écran de la machine de l’hôte. Les minuscules conviennent, les tirets sont inutiles.',
    firstAccount: 'Compte, un nom court à vous, p. ex. mick',
    fullName: 'Nom complet, comme dans le registre',
    forgotten: 'Oublié ? Un administrateur peut vous donner un code à usage unique.',
    forgottenByAll:
      'Vous êtes le seul administrateur ? Créez-vous un code à usage unique sur la machine de l’hôte, dans son dossier :',
    forgottenSimulated:
      'La démonstration ne garde aucun compte : relancez-la sur la machine de l’hôte et prenez le code qu’elle affiche.',
    trust: 'Le navigateur vous met en garde ? Dans un bâtiment, faites d’abord ceci.',
    trustHow: 'Comment faire confiance à cette page',
    notice: 'Avis pour tous dans le bâtiment',
    ended:
      'Votre session est terminée ; connectez-vous à nouveau. Rien de ce que vous avez saisi n’est perdu.',
    gone: 'Il n’y a plus de compte ici : créez le vôtre avec le code à l’écran de l’hôte.',
    notRestored: (circuit) =>
      `L’alimentation de ${circuit} n’a PAS été rétablie. Connectez-vous : l’ordre est alors donné aussitôt.`,
    waits: 'Elle attend sur cet appareil jusqu’à votre connexion.',
    enteredBy: (name) => `Saisi par ${name}.`,
    onceMore: 'Cela coupe l’alimentation. Donnez votre mot de passe encore une fois.',
    noAnswer: 'L’hôte ne répond pas. Vérifiez qu’il fonctionne et réessayez.',
  },

  account: {
    is: (id, role) => `Compte ${id}, ${role}.`,
    signOut: 'Se déconnecter',
    everywhere: 'Se déconnecter de tous les appareils',
    change: 'Changer le mot de passe',
    old: 'Mot de passe actuel',
    others: 'Tous les autres appareils sont alors déconnectés.',
  },

  accounts: {
    noRole: 'Aucun rôle',
    none: 'Il n’y a pas encore de comptes : quiconque atteint cette page peut tout faire. Créez-en un avec « nightproof accounts add » sur la machine de l’hôte.',
    notYours: 'Seul un administrateur voit les comptes.',
    roles: {
      viewer: 'lecteur',
      electrician: 'électricien',
      'responsible person': 'personne responsable',
      administrator: 'administrateur',
    },
    states: { active: 'actif', disabled: 'bloqué', 'has no password yet': 'encore sans mot de passe' },
    role: 'Rôle',
    giveRole: 'Donner ce rôle',
    giveCode: 'Annuler le mot de passe, donner un code',
    disable: 'Bloquer',
    enable: 'Débloquer',
    make: 'Créer un compte',
    short: 'Compte, p. ex. anna',
    codeFor: (id) => `Code à usage unique pour ${id} :`,
    codeOnce: 'Il n’est affiché que maintenant et vaut une semaine.',
  },

  tokens: {
    title: 'Clés d’accès pour programmes',
    what: 'Un programme d’agenda ou de surveillance ne peut pas s’identifier. Une clé lui permet une seule chose, et jamais un ordre qui actionne un relais.',
    name: 'À quoi elle sert, p. ex. agenda de la loge',
    scope: 'Permet au programme de',
    scopes: {
      calendar: 'lire l’agenda',
      metrics: 'lire les chiffres pour Prometheus',
      read: 'tout lire',
      trace: 'commander un enregistrement',
    },
    states: {
      active: 'valable',
      expired: 'périmée',
      withdrawn: 'retirée',
      'its maker is disabled': 'le compte qui l’a créée est bloqué',
      'its maker is no administrator': 'le compte qui l’a créée n’est pas administrateur',
      'the clock is behind': 'l’horloge de l’hôte retarde',
    },
    days: 'Valable, en jours',
    make: 'Créer une clé',
    withdraw: 'Retirer la clé',
    until: (day) => `Valable jusqu’au ${day}.`,
    neverUsed: 'Jamais utilisée.',
    lastUsed: (day) => `Dernière utilisation le ${day}.`,
    secret: 'La clé :',
    secretOnce: 'Elle n’est affichée que maintenant. Qui l’a peut faire ce à quoi elle sert.',
    address: 'Abonner le programme d’agenda à cette adresse :',
    addressOnce:
      'Elle n’est affichée que maintenant. Qui la voit peut lire l’agenda : ne l’envoyez à personne, et retirez la clé si quelqu’un l’a obtenue.',
  },

  passkeys: {
    title: 'Clés d’identification',
    what: 'Avec une clé d’identification, vous entrez ici par le verrou de votre appareil, sans mot de passe. Elle ne peut être ni transmise ni tapée sur une fausse page.',
    name: 'Quel appareil, p. ex. mon téléphone',
    add: 'Ajouter une clé d’identification',
    remove: 'Retirer',
    removeOf: (name) => `Retirer la clé d’identification ${name}`,
    use: 'S’identifier avec une clé d’identification',
    none: 'L’appareil n’a donné aucune clé pour cette page. Réessayez, ou entrez avec le mot de passe.',
  },

  site,

  said: {
    ...saidOfSite,
    'The lamp was not lit 5 s after the supply was cut.':
      'La lampe n’était pas allumée 5 s après la coupure de l’alimentation.',
    'The lamp was lit at 5 s but below half its commissioned current.':
      'La lampe était allumée à 5 s, mais sous la moitié de son courant de mise en service.',
    'The lamp had not reached full commissioned current at 60 s.':
      'La lampe n’avait pas atteint son plein courant de mise en service à 60 s.',
    'The lamp went out before its rated duration was up.':
      'La lampe s’est éteinte avant la fin de son autonomie assignée.',
    'The lamp is lit on mains but should be dark.':
      'La lampe est allumée sur secteur alors qu’elle devrait être éteinte.',
    'The lamp is dark on mains but should be lit.':
      'La lampe est éteinte sur secteur alors qu’elle devrait être allumée.',
    'The lamp flickers: on average it gave too little current, though not all the time.':
      'La lampe clignote : en moyenne elle a pris trop peu de courant, mais pas tout le temps.',
    'The lamp current did not change when the supply was cut: it may be fed from another circuit.':
      'Le courant de la lampe n’a pas changé à la coupure de l’alimentation : elle est peut-être alimentée par un autre circuit.',
    'The sensor reads more than one and a half times the commissioned current: another lamp may be on it.':
      'Le capteur lit plus d’une fois et demie le courant de mise en service : une autre lampe y est peut-être reliée.',
    'Every luminaire had a verdict before the time was up, so the test ended early.':
      'Chaque luminaire avait un résultat avant la fin du temps ; l’essai s’est donc terminé plus tôt.',
    'The batteries have drawn no charging current since the supply came back.':
      'Les batteries n’ont pris aucun courant de charge depuis le retour de l’alimentation.',
    'The charging current had not fallen by the end of the recharge time.':
      'Le courant de charge n’avait pas baissé à la fin du temps de recharge.',
    'The test ran to the end.': 'L’essai est allé jusqu’au bout.',
    'A mains failure interrupted the test; the result is void.':
      'Une coupure du secteur a interrompu l’essai ; le résultat est nul.',
    'Someone ordered the supply to be restored.': 'Quelqu’un a ordonné de rétablir l’alimentation.',
    'The fire alarm or stop input is active.': 'L’entrée d’alarme incendie ou d’arrêt est active.',
    'The key switch is set to hold.': 'L’interrupteur à clé est sur suspension.',
    'Someone put testing on hold.': 'Quelqu’un a suspendu les essais.',
    'There is someone in the area.': 'Quelqu’un se trouve dans la zone.',
    'The controller restarted.': 'Le contrôleur a redémarré.',
    'Lamp readings were missing for too long to give a verdict.':
      'Les mesures des lampes ont manqué trop longtemps pour donner un résultat.',
    'The relay did not open when switched: the supply stayed on.':
      'Le relais ne s’est pas ouvert à la commande : l’alimentation est restée.',
    'The relay did not close when switched: the supply is still off.':
      'Le relais ne s’est pas fermé à la commande : l’alimentation est toujours coupée.',
    'The relay closed by itself during the test.': 'Le relais s’est fermé de lui-même pendant l’essai.',
    "The relay's auxiliary contact disagrees with the supply sensing.":
      'Le contact auxiliaire du relais contredit la détection de l’alimentation.',
    'The current sensor reads current while the lamp is known to be dark.':
      'Le capteur de courant lit un courant alors que la lampe est certainement éteinte.',
    'The current sensor is open circuit, shorted or out of range.':
      'Le capteur de courant est coupé, en court-circuit ou hors plage.',
    'No lamp was seen to light: suspect the tester before the luminaires.':
      'Aucune lampe n’a été vue s’allumer : soupçonner le dispositif d’essai avant les luminaires.',
    'Several lamps failed at the same instant: suspect the tester.':
      'Plusieurs lampes ont lâché au même instant : soupçonner le dispositif d’essai.',
    'The controller cannot write to its memory.': 'Le contrôleur ne peut pas écrire dans sa mémoire.',
    'The supply did not come back after the relay was closed.':
      'L’alimentation n’est pas revenue après la fermeture du relais.',
    'The controller hung and its watchdog restarted it.':
      'Le contrôleur s’est bloqué et son chien de garde l’a redémarré.',
    'The current sensor reading did not change by even 1 mA when the supply was cut.':
      'La mesure du capteur de courant n’a pas changé d’un seul mA à la coupure de l’alimentation.',
    'One of the guards that release the relay was too slow or did not release it.':
      'L’une des protections qui relâchent le relais était trop lente ou ne l’a pas relâché.',
    "The controller's timing does not agree with the host's time.":
      'La mesure du temps du contrôleur ne concorde pas avec l’heure de l’hôte.',
    'A self-test of the controller failed.': 'Un autotest du contrôleur a échoué.',
    'The current sensor does not answer on its bus.': 'Le capteur de courant ne répond pas sur son bus.',
    'The current sensor answers too slowly on its bus to judge the luminaire.':
      'Le capteur de courant répond trop lentement sur son bus pour juger le luminaire.',
    "The current sensor's address on the bus is used twice.":
      'L’adresse du capteur de courant sur le bus est utilisée deux fois.',
    'The current sensor answers with errors on its bus.':
      'Le capteur de courant répond avec des erreurs sur son bus.',
    'The controller has no settings yet.': 'Le contrôleur n’a pas encore de réglages.',
    'The controller is not sure of the time.': 'Le contrôleur n’est pas sûr de l’heure.',
    'This night is reserved for a neighbouring circuit.': 'Cette nuit est réservée à un circuit voisin.',
    'It is outside the test window.': 'C’est hors de la plage d’essai.',
    'Not enough of the test window is left for this test.':
      'Il ne reste pas assez de la plage d’essai pour cet essai.',
    'The batteries are still recharging.': 'Les batteries sont encore en recharge.',
    'The area is not confirmed empty.': 'Il n’est pas confirmé que la zone est vide.',
    "The controller's memory is full of results waiting for the log book.":
      'La mémoire du contrôleur est pleine de résultats qui attendent le registre de sécurité.',
    'The controller is busy with another test.': 'Le contrôleur est occupé par un autre essai.',
    'Nothing to do: the supply is on and no test is running.':
      'Rien à faire : l’alimentation est présente et aucun essai n’est en cours.',
    'The supply keeps dipping.': 'L’alimentation présente sans cesse des creux.',
    "The test and its recharge do not fit into this circuit's hours of a shared night.":
      'L’essai et sa recharge ne tiennent pas dans les heures de ce circuit pendant une nuit partagée.',
    'The message has a wrong signature.': 'Le message porte une mauvaise signature.',
    'The message has been used before.': 'Le message a déjà été utilisé.',
    'The message arrived too late.': 'Le message est arrivé trop tard.',
    'The message cannot be read.': 'Le message ne peut pas être lu.',
    'The message is in a version the controller does not understand.':
      'Le message est dans une version que le contrôleur ne comprend pas.',
    'The message asks for a value outside the permitted range.':
      'Le message demande une valeur hors de la plage permise.',
    'The broker had stored the message; stored orders are never obeyed.':
      'Le courtier avait conservé le message ; des ordres conservés ne sont jamais suivis.',
    'Its program has changed: load it again, and replace the controller if it happens again.':
      'Son programme a changé : le recharger, et remplacer le contrôleur si cela se reproduit.',
    'Its memory does not keep what is written: replace the controller.':
      'Sa mémoire ne garde pas ce qui est écrit : remplacer le contrôleur.',
    'Every current sensor reads beyond its range: check the converter and its wiring.':
      'Tous les capteurs de courant lisent hors plage : vérifier le convertisseur et son câblage.',
    'Its program has used up its working memory: report it with the log book.':
      'Son programme a épuisé sa mémoire de travail : le signaler avec le registre de sécurité.',
    'The controller has just started and is checking its inputs.':
      'Le contrôleur vient de démarrer et vérifie ses entrées.',
    'The supply is on and the batteries are charged.':
      'L’alimentation est présente et les batteries sont chargées.',
    'The supply is on and the batteries are recharging.':
      'L’alimentation est présente et les batteries se rechargent.',
    'A test cannot start: {said}': 'Un essai ne peut pas commencer : {said}',
    'The supply is being cut for a {kind}.': 'L’alimentation est en train d’être coupée pour : {kind}.',
    'A {kind} is running; the luminaires are on battery.':
      'En cours : {kind} ; les luminaires sont sur batterie.',
    'The test is over; checking that the supply is back.':
      'L’essai est terminé ; vérification du retour de l’alimentation.',
    'The mains has failed; the luminaires are on battery.':
      'Le secteur est coupé ; les luminaires sont sur batterie.',
    'Testing is on hold.': 'Les essais sont suspendus.',
    'Tester fault: no tests until it is cleared.':
      'Panne du dispositif d’essai : aucun essai avant qu’elle soit acquittée.',
    'This controller has never reported.': 'Ce contrôleur n’a jamais donné de nouvelles.',
    'Nothing heard for {length}.': 'Rien reçu depuis {length}.',
    'Last report: {said}': 'Dernières nouvelles : {said}',
    '{text} (circuit {id}): on battery now in a {kind}, batteries full again on {when}.':
      '{text} (circuit {id}) : sur batterie maintenant, {kind}, batteries de nouveau pleines le {when}.',
    '{text} (circuit {id}): on battery now in a {kind}, not known when the batteries will be full.':
      '{text} (circuit {id}) : sur batterie maintenant, {kind}, on ne sait pas quand les batteries seront pleines.',
    '{text} (circuit {id}): no supply now; not yet known when the batteries will be full.':
      '{text} (circuit {id}) : pas d’alimentation maintenant ; on ne sait pas encore quand les batteries seront pleines.',
    '{text} (circuit {id}): batteries recharging, batteries full again on {when}.':
      '{text} (circuit {id}) : batteries en recharge, batteries de nouveau pleines le {when}.',
    '{text} (circuit {id}): batteries recharging, end not yet known.':
      '{text} (circuit {id}) : batteries en recharge, fin encore inconnue.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, batteries full again on {when}.':
      '{text} (circuit {id}), d’après les dernières nouvelles du {when2} : sur batterie, {kind}, batteries de nouveau pleines le {when}.',
    '{text} (circuit {id}), when last heard on {when2}: on battery in a {kind}, not known when the batteries will be full.':
      '{text} (circuit {id}), d’après les dernières nouvelles du {when2} : sur batterie, {kind}, on ne sait pas quand les batteries seront pleines.',
    '{text} (circuit {id}), when last heard on {when2}: no supply; not yet known when the batteries will be full.':
      '{text} (circuit {id}), d’après les dernières nouvelles du {when2} : pas d’alimentation ; on ne sait pas encore quand les batteries seront pleines.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, batteries full again on {when}.':
      '{text} (circuit {id}), d’après les dernières nouvelles du {when2} : batteries en recharge, batteries de nouveau pleines le {when}.',
    '{text} (circuit {id}), when last heard on {when2}: batteries recharging, end not yet known.':
      '{text} (circuit {id}), d’après les dernières nouvelles du {when2} : batteries en recharge, fin encore inconnue.',
    '{text} (circuit {id}): {kind} planned for {when}, batteries full again on {when2}.':
      '{text} (circuit {id}) : {kind} prévu pour {when}, batteries de nouveau pleines le {when2}.',
    'If the power fails: leave {text} at once by torchlight, keep everyone out, and tell {text2}.':
      'En cas de panne de courant : quitter aussitôt {text} à la lampe de poche, n’y laisser entrer personne et prévenir : {text2}.',
    'Emergency luminaires there may stay dark or go out early.':
      'Les luminaires de secours peuvent y rester éteints ou s’éteindre trop tôt.',
    'Go by {ways} by torchlight without stopping there: no way out is fully lit.':
      'Passer par {ways} à la lampe de poche sans s’y arrêter : aucune sortie n’est entièrement éclairée.',
    'If the power fails: leave the building by {ways} by torchlight without stopping there: no way out is fully lit.':
      'En cas de panne de courant : quitter le bâtiment par {ways} à la lampe de poche sans s’y arrêter : aucune sortie n’est entièrement éclairée.',
    'Tell {text}.': 'À prévenir : {text}.',
    '{Kind} of {when}: lit for {length} (log book entry {n}).':
      '{Kind} du {when} : allumé pendant {length} (registre, inscription {n}).',
    '{Kind} of {when}: lit for {length} of {length2} rated (log book entry {n}).':
      '{Kind} du {when} : allumé pendant {length} sur {length2} assignées (registre, inscription {n}).',
    'Repair it, then report the repair; only a pass in a {kind} closes it.':
      'Réparer, puis signaler la réparation ; seul un résultat réussi le clôt : {kind}.',
    'Repair it, then report the repair; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Réparer, puis signaler la réparation ; seul un résultat réussi le clôt : si la batterie, la lampe, son alimentation, le chargeur ou le luminaire entier a été remplacé, {kind}, sinon {kind2}.',
    'Repaired.': 'Réparé.',
    'Find out why the repair did not help; repair it again, then report that; only a pass in a {kind} closes it.':
      'Chercher pourquoi la réparation n’a rien changé ; réparer de nouveau, puis le signaler. Seul un résultat réussi le clôt : {kind}.',
    'Find out why the repair did not help; repair it again, then report that; only a pass closes it: in a {kind} if battery, lamp, driver, charger or the whole luminaire was changed, else in a {kind2}.':
      'Chercher pourquoi la réparation n’a rien changé ; réparer de nouveau, puis le signaler ; seul un résultat réussi le clôt : si la batterie, la lampe, son alimentation, le chargeur ou le luminaire entier a été remplacé, {kind}, sinon {kind2}.',
    'Repaired on {day} ({text}); the {kind} of {when} failed again: the repair did not help.':
      'Réparé le {day} ({text}) ; l’{kind} du {when} a de nouveau échoué : la réparation n’a rien changé.',
    'Repaired on {day}; the {kind} of {when} failed again: the repair did not help.':
      'Réparé le {day} ; l’{kind} du {when} a de nouveau échoué : la réparation n’a rien changé.',
    'Not proven since {day}.': 'Non prouvé depuis le {day}.',
    'No luminaire proven.': 'Aucun luminaire prouvé.',
    'No luminaire proven since {day}.': 'Aucun luminaire prouvé depuis le {day}.',
    'Tests without a verdict: {n}, the last on {day}: {said}':
      'Essais sans résultat : {n}, le dernier le {day} : {said}',
    'Duration tests without a verdict: {n}, the last on {day}: {said}':
      'Essais d’autonomie sans résultat : {n}, le dernier le {day} : {said}',
    'Duration tests without a verdict: {n}.': 'Essais d’autonomie sans résultat : {n}.',
    'No test since then had a verdict.': 'Aucun essai n’a eu de résultat depuis.',
    'No duration test since then had a verdict.': 'Aucun essai d’autonomie n’a eu de résultat depuis.',
    'Nobody has measured the currents it is judged by: they are expected ones.':
      'Personne n’a mesuré les courants selon lesquels il est jugé : ce sont des courants attendus.',
    'Look at it lit in a complete test, then accept on its page what was measured.':
      'Le voir allumé lors d’un essai complet, puis accepter sur sa page ce qui a été mesuré.',
    'Its page says where to look first.': 'Sa page dit où chercher d’abord.',
    'Next try, a {kind}: planned for {when}.': 'Prochaine tentative ({kind}) : prévue pour {when}.',
    'Next try, a {kind}: not planned yet.': 'Prochaine tentative ({kind}) : pas encore prévue.',
    'Not heard since this host started; its last record is of {day}.':
      'Pas entendu depuis le démarrage de cet hôte ; son dernier enregistrement est du {day}.',
    'Its controller has not been heard since this host started; its last record is of {day}.':
      'Son contrôleur n’a pas été entendu depuis le démarrage de cet hôte ; son dernier enregistrement est du {day}.',
    'Retest, a {kind}: planned for {when}.': 'Nouvel essai ({kind}) : prévu pour {when}.',
    'Retest, a {kind}: not planned yet.': 'Nouvel essai ({kind}) : pas encore prévu.',
    'The {kind} of {when} ended without a verdict: {said}':
      'L’{kind} du {when} s’est terminé sans résultat : {said}',
    'It failed for a reason that was not recorded.': 'Échec, pour une raison qui n’a pas été enregistrée.',
    'Not proven.': 'Non prouvé.',
    'Its controller has never been heard from.': 'Son contrôleur n’a jamais donné de nouvelles.',
    'Its controller is silent.': 'Son contrôleur est muet.',
    'Tester fault: it makes no tests.': 'Panne du dispositif d’essai : aucun essai.',
    'A test is overdue.': 'Un essai est en retard.',
    'Check the controller’s supply and its network, then let it test again.':
      'Vérifier l’alimentation et le réseau du contrôleur, puis le laisser essayer de nouveau.',
    'Have the tester repaired, then clear the fault.':
      'Faire réparer le dispositif d’essai, puis acquitter la panne.',
    'Its page says what it waits for; or start the test while someone works there.':
      'Sa page dit ce qu’il attend ; ou lancer l’essai pendant que quelqu’un y travaille.',
    'Its controller is not heard, so no order reaches it.':
      'Son contrôleur ne répond pas ; aucun ordre ne l’atteint.',
    'Its batteries recharge until {when}; a test is possible after that.':
      'Ses batteries se rechargent jusqu’au {when} ; un essai est possible ensuite.',
    'There is no plan yet.': 'Il n’y a pas encore de plan.',
    'It shows only that the lamp lights again.': 'Il montre seulement que la lampe s’allume de nouveau.',
    'The {kind} that closes the defect is possible once the batteries have charged, from {when}.':
      'L’{kind} qui clôt le défaut est possible dès que les batteries sont chargées, à partir du {when}.',
    'The {kind} that closes the defect is possible only on days without tests of its neighbours.':
      'L’{kind} qui clôt le défaut n’est possible que les jours sans essai de ses voisins.',
    'The controller has started (firmware {text}).': 'Le contrôleur a démarré (firmware {text}).',
    'The controller has started with an empty memory (firmware {text}).':
      'Le contrôleur a démarré avec une mémoire vide (firmware {text}).',
    '{Kind} starts: the supply is about to be cut.': '{Kind} : début, l’alimentation va être coupée.',
    '{Kind} stopped after {length}: nothing was judged.': '{Kind} arrêté après {length} : rien n’a été jugé.',
    '{Kind} ended after {length}: the luminaire passed.':
      '{Kind} terminé après {length} : le luminaire a réussi.',
    '{Kind} ended after {length}: all {n} luminaires passed.':
      '{Kind} terminé après {length} : les {n} luminaires ont réussi.',
    '{Kind} ended after {length}: {n} of {n2} luminaire failed.':
      '{Kind} terminé après {length} : {n} sur {n2} luminaire en échec.',
    '{Kind} ended after {length}: void for {n} luminaire.':
      '{Kind} terminé après {length} : nul pour {n} luminaire.',
    '{Kind} ended after {length}: void for {n} luminaire, {n2} passed.':
      '{Kind} terminé après {length} : nul pour {n} luminaire, {n2} en réussite.',
    '{Kind} ended after {length}: {n} of {n2} luminaires failed.':
      '{Kind} terminé après {length} : {n} sur {n2} luminaires en échec.',
    '{Kind} ended after {length}: void for {n} luminaires.':
      '{Kind} terminé après {length} : nul pour {n} luminaires.',
    '{Kind} ended after {length}: void for {n} luminaires, {n2} passed.':
      '{Kind} terminé après {length} : nul pour {n} luminaires, {n2} en réussite.',
    'Mains failure; the luminaires are on battery.': 'Coupure du secteur ; les luminaires sont sur batterie.',
    'The supply is unsteady: {n} short dips in a row.':
      'L’alimentation est instable : {n} creux brefs de suite.',
    'No test starts until it has been steady for 10 minutes.':
      'Aucun essai ne commence avant 10 minutes de stabilité.',
    'The mains is back after {length}.': 'Le secteur est revenu après {length}.',
    'After a tester fault, the supply is back after {length}.':
      'Après une panne du dispositif d’essai, l’alimentation est revenue après {length}.',
    'Tester fault cleared.': 'Panne du dispositif d’essai acquittée.',
    'It was: {said}': 'C’était : {said}',
    'It was the pulse detector, with the pulses stopped low.':
      'C’était le détecteur d’impulsions, impulsions arrêtées à l’état bas.',
    'It was the pulse detector, with the pulses stopped high.':
      'C’était le détecteur d’impulsions, impulsions arrêtées à l’état haut.',
    'It was the enable signal.': 'C’était le signal de validation.',
    'Testing is on hold for {length}.': 'Les essais sont suspendus pour {length}.',
    'Testing has been on hold for {length}.': 'Les essais sont suspendus depuis {length}.',
    "The controller's clock was moved back by {length}; two time answers agreed.":
      'L’horloge du contrôleur a été reculée de {length} ; deux réponses concordaient.',
    "The controller's clock was moved forward by {length}; two time answers agreed.":
      'L’horloge du contrôleur a été avancée de {length} ; deux réponses concordaient.',
    'The clock chip was set.': 'Le circuit d’horloge a été réglé.',
    'The clock chip does not answer, or cannot be set.':
      'Le circuit d’horloge ne répond pas, ou ne peut pas être réglé.',
    'Check its wiring and its cell.': 'Vérifier son câblage et sa pile.',
    'The clock chip was {length} behind and was corrected.':
      'Le circuit d’horloge retardait de {length} et a été corrigé.',
    'The clock chip was {length} ahead and was corrected.':
      'Le circuit d’horloge avançait de {length} et a été corrigé.',
    'If this happens again, replace it.': 'Si cela se reproduit, le remplacer.',
    'Testing resumed after a hold of {length}.': 'Les essais ont repris après une suspension de {length}.',
    'No test is being made: the controller does not know the time.':
      'Aucun essai n’a lieu : le contrôleur ne connaît pas l’heure.',
    'It needs the host, or a clock chip.': 'Il lui faut l’hôte ou un circuit d’horloge.',
    'A test is overdue: none of its planned tries had a verdict.':
      'Un essai est en retard : aucune des tentatives prévues n’a donné de résultat.',
    'A test is overdue: no test window was found for it.':
      'Un essai est en retard : aucune plage n’a été trouvée pour lui.',
    'No charging after the last test: {n} mA 60 s after the supply came back.':
      'Pas de recharge après le dernier essai : {n} mA 60 s après le retour de l’alimentation.',
    'Charging after the last test started at {n} mA.': 'Recharge après le dernier essai commencée à {n} mA.',
    'Charging after the last test started at {n} mA and fell to half within {length}.':
      'Recharge après le dernier essai commencée à {n} mA et tombée à la moitié en {length}.',
    'Charging after the last test started at {n} mA and fell to half within {length} and to a fifth within {length2}.':
      'Recharge après le dernier essai commencée à {n} mA et tombée à la moitié en {length} et au cinquième en {length2}.',
    'The supply failed again; charging was seen for only {length}.':
      'L’alimentation a de nouveau manqué ; la recharge n’a été vue que {length}.',
    'restore the supply': 'rétablir l’alimentation',
    'hold testing for {length}': 'suspendre les essais pour {length}',
    'release the hold': 'lever la suspension',
    'clear the fault': 'acquitter la panne',
    'start a {kind}': 'lancer un {kind}',
    'extend the test by {length}': 'prolonger l’essai de {length}',
    'record a trace of the next test': 'enregistrer une trace du prochain essai',
    'send its records again': 'renvoyer ses enregistrements',
    'The controller has accepted the order to {said}.': 'Le contrôleur a accepté l’ordre : {said}.',
    'The controller refused to {said}.': 'Le contrôleur a refusé l’ordre : {said}.',
    'There was nothing to restore: the controller was not holding the supply off.':
      'Il n’y avait rien à rétablir : le contrôleur ne maintenait pas l’alimentation coupée.',
    'The order was not sent: there is no connection to the MQTT broker.':
      'L’ordre n’a pas été envoyé : il n’y a pas de connexion au courtier MQTT.',
    'The host was stopped before the controller answered.':
      'L’hôte a été arrêté avant la réponse du contrôleur.',
    'Answer to order {n}: {said}': 'Réponse à l’ordre {n} : {said}',
    '{text} gave the order to {said}; the controller accepted it.':
      '{text} a donné l’ordre : {said} ; le contrôleur l’a accepté.',
    '{text} gave the order to {said}; the controller refused it.':
      '{text} a donné l’ordre : {said} ; le contrôleur l’a refusé.',
    '{text} gave the order to {said} (order {n}).': '{text} a donné l’ordre : {said} (ordre {n}).',
    '{Kind} on demand was called off before it started.': '{Kind} à la demande annulé avant de commencer.',
    'Account or password is wrong.': 'Compte ou mot de passe incorrect.',
    'This passkey was not accepted.': 'Cette clé d’accès n’a pas été acceptée.',
    'Sign in with the password.': 'Identifiez-vous avec le mot de passe.',
    'Too many wrong attempts; try again in {n} s.': 'Trop d’essais incorrects ; réessayez dans {n} s.',
    'Too many people are signing in at once; try again in a few seconds.':
      'Trop de personnes s’identifient en même temps ; réessayez dans quelques secondes.',
    'Code is wrong.': 'Le code est incorrect.',
    'Compare it with the screen.': 'Comparez-le avec l’écran.',
    'Account or code is wrong, or the code was used or is too old.':
      'Compte ou code incorrect, ou le code a déjà servi ou est trop ancien.',
    'The code was used meanwhile.': 'Le code a été utilisé entre-temps.',
    'The password is wrong.': 'Le mot de passe est incorrect.',
    'Your session has ended; sign in again.': 'Votre session est terminée ; identifiez-vous de nouveau.',
    'Sign in first.': 'Identifiez-vous d’abord.',
    'There are accounts already; ask an administrator for one.':
      'Il y a déjà des comptes ; demandez-en un à un administrateur.',
    'A password needs at least {n} characters.': 'Un mot de passe a au moins {n} caractères.',
    'Four unrelated words do.': 'Quatre mots sans lien suffisent.',
    'A password may have at most {n} characters.': 'Un mot de passe a au plus {n} caractères.',
    'This password contains your name.': 'Ce mot de passe contient votre nom.',
    'This password contains a name that belongs to the building.':
      'Ce mot de passe contient un nom qui appartient au bâtiment.',
    'This password is among the first that others would try.':
      'Ce mot de passe est parmi les premiers que d’autres essaieraient.',
    'Choose four unrelated words.': 'Choisissez quatre mots sans lien.',
    'Give the full name, 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Donnez le nom complet, de 1 à {n} caractères sans guillemets ni barre oblique inverse : il figure au registre.',
    'There is an account {id} already; choose another.':
      'Le compte {id} existe déjà ; choisissez-en un autre.',
    'The account must have 2 to 24 lower-case letters without accents, digits, dots and hyphens, e.g. anna or j.vail.':
      'Le compte se compose de 2 à 24 minuscules sans accents, chiffres, points et traits d’union, p. ex. anna ou j.vail.',
    'Make an administrator first: nobody else can make accounts and give codes on the page.':
      'Créez d’abord un administrateur : personne d’autre ne peut créer des comptes et donner des codes sur la page.',
    'This host has one building only; give the role without it.':
      'Cet hôte n’a qu’un bâtiment ; donnez le rôle sans bâtiment.',
    'An administrator is that in every building; give the role without a building.':
      'Un administrateur l’est dans tous les bâtiments ; donnez le rôle sans bâtiment.',
    'There is no building "{text}" here; choose one of: {text2}.':
      'Il n’y a pas de bâtiment « {text} » ici ; choisissez-en un parmi : {text2}.',
    'There is no account {id}.': 'Il n’y a pas de compte {id}.',
    '{id} is the only administrator with a password; make another one first.':
      '{id} est le seul administrateur avec un mot de passe ; créez-en d’abord un autre.',
    '{id} has the role {role} there already.': '{id} y a déjà le rôle : {role}.',
    '{id} has the role {role} already.': '{id} a déjà le rôle : {role}.',
    '{id} would have no role any more; disable the account instead.':
      '{id} n’aurait plus de rôle ; bloquez plutôt le compte.',
    '{id} is disabled already.': '{id} est déjà bloqué.',
    '{id} is enabled already.': '{id} n’est pas bloqué.',
    'Change your own password on the page of your account; a code is for somebody who forgot his.':
      'Changez votre propre mot de passe sur la page de votre compte ; un code est pour qui a oublié le sien.',
    'Nothing was changed.': 'Rien n’a été changé.',
    'Done, and entered in the log book: account {id}.':
      'Fait, et inscrit au registre de sécurité : compte {id}.',
    'Done, and entered in the log book: access token {id}.':
      'Fait, et inscrit au registre de sécurité : clé d’accès {id}.',
    'Done: account {id}.': 'Fait : compte {id}.',
    'Done: access token {id}.': 'Fait : clé d’accès {id}.',
    'The log book does not have it yet, and gets it as soon as it can.':
      'Le registre de sécurité ne l’a pas encore, et l’aura dès que possible.',
    'The new password holds from now on.': 'Le nouveau mot de passe vaut désormais.',
    'The passkeys of this account were removed.': 'Les clés d’identification de ce compte ont été retirées.',
    'The passkeys of this account were removed; add your own again.':
      'Les clés d’identification de ce compte ont été retirées ; ajoutez de nouveau les vôtres.',
    'Say what the token is for, in 1 to {n} characters without quotes or backslash: it stands in the log book.':
      'Dites à quoi sert la clé, en 1 à {n} caractères sans guillemets ni barre oblique inverse : cela figure au registre de sécurité.',
    'A token is good for 1 to {n} days.': 'Une clé vaut de 1 à {n} jours.',
    'There are {n} tokens already; withdraw one that nobody needs.':
      'Il y a déjà {n} clés ; retirez-en une dont personne n’a besoin.',
    'There is no access token {id}.': 'Il n’y a pas de clé d’accès {id}.',
    'The access token {id} is withdrawn already.': 'La clé d’accès {id} est déjà retirée.',
    'The device has made no passkey that this host can use.':
      'L’appareil n’a créé aucune clé d’identification utilisable par cet hôte.',
    'Try again.': 'Réessayez.',
    'Say which device it is, in 1 to {n} characters without quotes or backslash.':
      'Dites de quel appareil il s’agit, en 1 à {n} caractères sans guillemets ni barre oblique inverse.',
    'An account has at most {n} passkeys.': 'Un compte a au plus {n} clés d’identification.',
    'This passkey is there already.': 'Cette clé d’identification existe déjà.',
    'There is no such passkey.': 'Cette clé d’identification n’existe pas.',
    'Passkeys need the page at a host name over TLS, or at localhost; an address of numbers has none.':
      'Les clés d’identification demandent la page sous un nom d’hôte par TLS, ou sous localhost ; une adresse en chiffres n’en a pas.',
    'Nobody may do this.': 'Personne ne peut faire cela.',
    'Only an administrator may do this; you are signed in as {id}, {role}.':
      'Seul un administrateur peut le faire ; vous êtes connecté sous le compte {id} ({role}).',
    'Only a person with the role {role} may do this; you are signed in as {id}, {role2}.':
      'Cela demande le rôle : {role} ; vous êtes connecté sous le compte {id} ({role2}).',
    'Only an administrator may do this; you are signed in as {id}, who has no role here.':
      'Seul un administrateur peut le faire ; vous êtes connecté sous le compte {id}, sans rôle ici.',
    'Only a person with the role {role} may do this; you are signed in as {id}, who has no role here.':
      'Cela demande le rôle : {role} ; vous êtes connecté sous le compte {id}, sans rôle ici.',
    'This host cannot read the request.': 'Cet hôte ne peut pas lire la demande.',
    'Load the page again.': 'Rechargez la page.',
    'The request is too long.': 'La demande est trop longue.',
    'The log book says that accounts were made here, but their file does not have them.':
      'Selon le registre, des comptes ont été créés ici, mais leur fichier ne les a pas.',
    'Restore that file from your backup, or make an administrator with "nightproof accounts add" on the host\'s machine.':
      'Restaurez ce fichier depuis votre sauvegarde, ou créez un administrateur avec « nightproof accounts add » sur la machine de l’hôte.',
    'battery changed': 'batterie remplacée',
    'lamp changed': 'lampe remplacée',
    'driver or charger changed': 'alimentation de lampe ou chargeur remplacé',
    'whole luminaire changed': 'luminaire entier remplacé',
    once: 'une fois',
    'every day': 'chaque jour',
    'every {n} days': 'tous les {n} jours',
    'every month': 'chaque mois',
    'every {n} months': 'tous les {n} mois',
    'every year': 'chaque année',
    'every {n} years': 'tous les {n} ans',
    'an instructed person': 'une personne instruite',
    'a competent person': 'une personne compétente',
    'a skilled electrician': 'un électricien qualifié',
    'the responsible person': 'la personne responsable',
    'the whole site': 'tout le site',
    'Daily look at the central supply': 'Coup d’œil quotidien à la source centrale',
    'The indicators of the central supply show that it is healthy.':
      'Les voyants de la source centrale montrent qu’elle est en bon état.',
    'Faults found earlier are being attended to.': 'On s’occupe des défauts constatés auparavant.',
    'Walk past every luminaire': 'Ronde devant chaque luminaire',
    'Walk past every luminaire, and rest mode': 'Ronde devant chaque luminaire, et état de repos',
    'Every luminaire and sign is in its place and undamaged.':
      'Chaque luminaire et chaque panneau est à sa place et intact.',
    'Luminaires and signs are clean.': 'Les luminaires et les panneaux sont propres.',
    'Nothing hides them or blocks their light.': 'Rien ne les cache ni n’arrête leur lumière.',
    'Every sign can be seen, and points the right way.':
      'Chaque panneau est visible et indique la bonne direction.',
    'Every indicator lamp is lit.': 'Chaque voyant est allumé.',
    'Those looked at during a test were lit.': 'Ceux vus pendant un essai étaient allumés.',
    'The rest command puts the luminaires out while the mains is off.':
      'La commande de repos éteint les luminaires lorsque le secteur est coupé.',
    'They return to standby by themselves when the mains is back.':
      'Ils reviennent d’eux-mêmes en veille au retour du secteur.',
    'Condition of all luminaires': 'État de tous les luminaires',
    'Housings, covers and fixings are sound and dry.': 'Boîtiers, capots et fixations sont sains et secs.',
    'No lamp or light guide has darkened or yellowed.':
      'Aucune lampe ni guide de lumière n’a foncé ou jauni.',
    'Signs can be read from where they must be.': 'Les panneaux se lisent d’où ils doivent être lus.',
    'Guidance lights': 'Luminaires de balisage',
    'Every guidance light is in its place and undamaged.':
      'Chaque luminaire de balisage est à sa place et intact.',
    'Every guidance light can be seen, and points the right way.':
      'Chaque luminaire de balisage est visible et indique la bonne direction.',
    'Every guidance light changes to its battery and back.':
      'Chaque luminaire de balisage passe sur sa batterie et revient.',
    'Pilot lights, terminals and batteries': 'Témoins, bornes et batteries',
    'Every pilot light is lit.': 'Chaque témoin est allumé.',
    'Terminals are clean and tight.': 'Les bornes sont propres et serrées.',
    'The surfaces of batteries are clean and dry.': 'Les surfaces des batteries sont propres et sèches.',
    'Simulated failure of the general lighting': 'Coupure simulée de l’éclairage normal',
    'Where the supply of the general lighting was cut, every luminaire came on.':
      'Là où l’alimentation de l’éclairage normal a été coupée, chaque luminaire s’est allumé.',
    'When it was back, they returned to standby.': 'À son retour, ils sont revenus en veille.',
    'Inhibit system': 'Système d’inhibition',
    'The inhibit command works.': 'La commande d’inhibition fonctionne.',
    'The luminaires are ready again when it ends.': 'Les luminaires sont de nouveau prêts quand elle cesse.',
    'Yearly look after the duration tests': 'Contrôle annuel après les essais d’autonomie',
    'After the duration tests every indicator lamp was lit again.':
      'Après les essais d’autonomie, chaque voyant était de nouveau allumé.',
    'Charging works again in every luminaire.': 'La recharge fonctionne de nouveau dans chaque luminaire.',
    'Every defect that the tests found is repaired or has a date.':
      'Chaque défaut trouvé par les essais est réparé ou a une date.',
    'Log book, drawings and instructions are at hand.':
      'Registre de sécurité, plans et consignes sont disponibles.',
    'Inspection by a competent person': 'Inspection par une personne compétente',
    'The whole installation was inspected.': 'Toute l’installation a été inspectée.',
    'No deviation is without its reason in the report.': 'Aucun écart n’est sans motif dans le rapport.',
    'The signed report or certificate is in the register.': 'Le rapport ou certificat signé est au registre.',
    'Charging after the duration tests': 'Recharge après les essais d’autonomie',
    "The charging voltage agrees with the maker's data.":
      'La tension de charge concorde avec les données du fabricant.',
    "The charging current agrees with the maker's data.":
      'Le courant de charge concorde avec les données du fabricant.',
    "The recovery period agrees with the maker's data.":
      'Le temps de récupération concorde avec les données du fabricant.',
    'Measurement of the light': 'Mesure de la lumière',
    'The light was measured in the dark along all escape routes and in open areas.':
      'La lumière a été mesurée dans l’obscurité le long de toutes les issues et dans les espaces ouverts.',
    'It is nowhere below what the lighting design asks for.':
      'Elle n’est nulle part inférieure à ce que demande l’étude d’éclairage.',
    'The report with measuring points, instrument and calibration is in the register.':
      'Le rapport avec points de mesure, instrument et étalonnage est au registre.',
    'Key switch and labels': 'Interrupteur à clé et étiquettes',
    'The key of the test switch is in its place, and those on duty know where.':
      'La clé de l’interrupteur d’essai est à sa place, et le personnel sait où.',
    'Test switch, distribution boards and controllers are labelled.':
      'Interrupteur d’essai, tableaux et contrôleurs sont étiquetés.',
    'The switch works, and the supply returns with it.':
      'L’interrupteur fonctionne, et l’alimentation revient avec lui.',
    'Handover and completion papers': 'Remise et documents de réception',
    'As-fitted drawings show every luminaire, circuit and test switch.':
      'Les plans conformes à l’exécution montrent chaque luminaire, circuit et interrupteur d’essai.',
    'Declarations of design, installation and verification are signed.':
      'Les déclarations d’étude, de pose et de vérification sont signées.',
    'Photometric data or a measurement of the light are there.':
      'Des données photométriques ou une mesure de la lumière sont là.',
    'Instructions for users say what to do and whom to call.':
      'Les consignes disent que faire et qui appeler.',
    'The list of luminaires agrees with what is installed.':
      'La liste des luminaires concorde avec ce qui est posé.',
    'Alterations of the building': 'Modifications du bâtiment',
    'No wall, door, shelf or use of a room has changed since the light was planned.':
      'Aucun mur, porte, rayonnage ni usage d’une pièce n’a changé depuis l’étude d’éclairage.',
    'Escape routes and signs are still as drawn.':
      'Les issues et les panneaux sont toujours conformes aux plans.',
    'Where the normal lighting of a place fails, its emergency lighting still comes on.':
      'Là où l’éclairage normal d’un lieu manque, son éclairage de sécurité s’allume toujours.',
    'Who does this work': 'Qui fait ce travail',
    'A competent person is named, with the authority to have repairs done.':
      'Une personne compétente est désignée, avec pouvoir de faire réparer.',
    'Those who test, inspect and repair are trained for it, and it is not out of date.':
      'Ceux qui essaient, inspectent et réparent y sont formés, et leur formation est à jour.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}.':
      'Le capteur de courant a très probablement dérivé : le {day}, il lisait {n} mA qu’aucune lampe ne prend.',
    'The current sensor has most likely drifted: it read {n} mA that no lamp draws on {day}, and {n2} mA on {day2}.':
      'Le capteur de courant a très probablement dérivé : le {day}, il lisait {n} mA qu’aucune lampe ne prend, et {n2} mA le {day2}.',
    'Check sensor and wiring before the luminaire.': 'Vérifier le capteur et le câblage avant le luminaire.',
    'Most likely a second supply from another circuit: on {day} it drew {n} mA before the supply was cut and {n2} mA 60 s after, with {n3} mA commissioned on battery.':
      'Très probablement une seconde alimentation par un autre circuit : le {day}, il prenait {n} mA avant la coupure et {n2} mA 60 s après, pour {n3} mA de mise en service sur batterie.',
    'Its battery was not tested.': 'Sa batterie n’a pas été essayée.',
    'Prove dead before you touch it: it may be live with its own circuit off.':
      'Vérifier l’absence de tension avant d’y toucher : il peut être sous tension bien que son circuit soit coupé.',
    'Then find what else feeds it, and disconnect that.':
      'Chercher ensuite ce qui l’alimente d’autre, et le débrancher.',
    'Most likely a second lamp on its sensor, or a wrong commissioned current: on {day} it read {n} mA at 60 s and {n2} mA at the end, with {n3} mA commissioned on battery.':
      'Très probablement une seconde lampe sur son capteur, ou un mauvais courant de mise en service : le {day}, il lisait {n} mA à 60 s et {n2} mA à la fin, pour {n3} mA de mise en service sur batterie.',
    'Follow the wires through the sensor first: one lamp may hide that another is dark.':
      'Suivre d’abord les fils à travers le capteur : une lampe peut cacher qu’une autre est éteinte.',
    'With one lamp on it, measure that on battery, and correct the site file or replace the sensor.':
      'S’il n’y a qu’une lampe, la mesurer sur batterie, et corriger le fichier du site ou remplacer le capteur.',
    'It also glowed on mains, with {n} mA: look for leakage or a wrong connection.':
      'Il luisait aussi sur secteur, avec {n} mA : chercher une fuite ou un mauvais raccordement.',
    'Most likely the current sensor: on {day} it stuck at {n} mA from mains to battery and read {n2} mA at 60 s.':
      'Très probablement le capteur de courant : le {day}, il est resté à {n} mA du secteur à la batterie et lisait {n2} mA à 60 s.',
    'There is no proof that the lamp was lit.': 'Rien ne prouve que la lampe était allumée.',
    'Most likely the current sensor, its wiring or the multiplexer: it read out of range on {day}.':
      'Très probablement le capteur de courant, son câblage ou le multiplexeur : il lisait hors plage le {day}.',
    'Most likely the tester, not the luminaire.':
      'Très probablement le dispositif d’essai, pas le luminaire.',
    'On {day} it had lasted {length}.': 'Le {day}, il avait tenu {length}.',
    'On {day}: {said}': 'Le {day} : {said}',
    'The circuit drew {n} mA of charging current after the test of {day}.':
      'Le circuit a pris {n} mA de courant de charge après l’essai du {day}.',
    'Against that: it has passed a function test since, on {day}; only a duration test can show that it lasts again.':
      'En sens contraire : il a réussi depuis un essai de fonctionnement, le {day} ; seul un essai d’autonomie peut montrer qu’il tient de nouveau.',
    'Against that: it has passed a function test since, on {day}, so its lamp works.':
      'En sens contraire : il a réussi depuis un essai de fonctionnement, le {day} ; sa lampe fonctionne donc.',
    'Against that: it has passed a function test since, on {day}, but a loose contact comes and goes.':
      'En sens contraire : il a réussi depuis un essai de fonctionnement, le {day}, mais un mauvais contact va et vient.',
    'Against that: it has passed {n3} function tests since, the last on {day}; only a duration test can show that it lasts again.':
      'En sens contraire : il a réussi depuis {n3} essais de fonctionnement, le dernier le {day} ; seul un essai d’autonomie peut montrer qu’il tient de nouveau.',
    'Against that: it has passed {n3} function tests since, the last on {day}, so its lamp works.':
      'En sens contraire : il a réussi depuis {n3} essais de fonctionnement, le dernier le {day} ; sa lampe fonctionne donc.',
    'Against that: it has passed {n3} function tests since, the last on {day}, but a loose contact comes and goes.':
      'En sens contraire : il a réussi depuis {n3} essais de fonctionnement, le dernier le {day}, mais un mauvais contact va et vient.',
    'Most likely a loose contact, or a battery that was not charged: not lit at 5 s in the {kind} of {day} ({n} of {n2} mA).':
      'Très probablement un mauvais contact, ou une batterie non chargée : pas allumé à 5 s, {kind} du {day} ({n} sur {n2} mA).',
    'Most likely the charger, or a battery that no longer takes charge: on {day} the lamp was lit for {length}, which emptied the battery, and since {day2} it has stayed dark although it had time to recharge.':
      'Très probablement le chargeur, ou une batterie qui ne prend plus la charge : le {day}, la lampe a été allumée {length}, ce qui a vidé la batterie, et depuis {day2} elle reste éteinte bien qu’elle ait eu le temps de se recharger.',
    'A lamp that failed at that time would look the same.':
      'Une lampe tombée en panne à ce moment aurait le même aspect.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it was last lit on {day2}.':
      'Très probablement une lampe morte, ou une batterie morte, débranchée ou non chargée : pas allumé à 5 s le {day} ({n} sur {n2} mA) ; il était allumé pour la dernière fois le {day2}.',
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on {day} ({n} of {n2} mA), and it has not been lit in any test on record.':
      'Très probablement une lampe morte, ou une batterie morte, débranchée ou non chargée : pas allumé à 5 s le {day} ({n} sur {n2} mA) ; il n’a été allumé dans aucun essai enregistré.',
    'Most likely a battery with a shorted cell: it takes charge, as it lit in {n} function tests since {day}, but it lasted only {length} of {length2} on {day2} ({n2} of {n3} mA at 60 s).':
      'Très probablement une batterie avec un élément en court-circuit : elle prend la charge, car elle s’est allumée dans {n} essais de fonctionnement depuis {day}, mais n’a tenu que {length} sur {length2} le {day2} ({n2} sur {n3} mA à 60 s).',
    'Most likely the charger: on {day} it still lasted {length}, but after time to recharge it lasted only {length2} of {length3} on {day2}.':
      'Très probablement le chargeur : le {day}, il tenait encore {length}, mais après le temps de recharge il n’a tenu que {length2} sur {length3} le {day2}.',
    'Most likely the charger: it lasted only {length} of {length2} on {day}.':
      'Très probablement le chargeur : il n’a tenu que {length} sur {length2} le {day}.',
    'Most likely an aged battery: it lasted {length} of {length2} on {day}.':
      'Très probablement une batterie vieillie : elle a tenu {length} sur {length2} le {day}.',
    'Most likely an aged battery that its driver cuts off and on again: the lamp flickered from {length} of {length2} on in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Très probablement une batterie vieillie que l’alimentation de lampe coupe et rallume : la lampe a clignoté à partir de {length} sur {length2}, {kind} du {day}, avec {n} mA à 5 s, {n2} mA à 60 s et {n3} mA à la fin, sur {n4} mA.',
    'Most likely a loose contact or the driver: the lamp flickered in the {kind} of {day}, with {n} mA at 5 s, {n2} mA at 60 s and {n3} mA at the end, of {n4} mA.':
      'Très probablement un mauvais contact ou l’alimentation de lampe : la lampe a clignoté, {kind} du {day}, avec {n} mA à 5 s, {n2} mA à 60 s et {n3} mA à la fin, sur {n4} mA.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the battery.":
      'Chercher d’abord ce qui est lâche à la prise de la batterie, aux bornes et à la lampe ; si rien ne l’est, remplacer la batterie.',
    "Look first for what is loose at the battery's plug, the terminals and the lamp; if nothing is, replace the driver.":
      'Chercher d’abord ce qui est lâche à la prise de la batterie, aux bornes et à la lampe ; si rien ne l’est, remplacer l’alimentation de lampe.',
    'Most likely the lamp or its driver: it reached {n} mA at 5 s and {n2} mA at 60 s of {n3} mA commissioned on {day}.':
      'Très probablement la lampe ou l’alimentation de lampe : elle a atteint {n} mA à 5 s et {n2} mA à 60 s sur {n3} mA de mise en service le {day}.',
    'Most likely the switched live or the commissioned mode: the lamp was lit on mains on {day}.':
      'Très probablement la phase commandée ou le mode inscrit : la lampe était allumée sur secteur le {day}.',
    'Most likely the switched live or the commissioned mode: the lamp was dark on mains on {day}.':
      'Très probablement la phase commandée ou le mode inscrit : la lampe était éteinte sur secteur le {day}.',
    'Recorded: {said}': 'Inscrit : {said}',
    'repaired {text} ({work}); a {kind} is due by {day}.':
      '{text} réparé ({work}) ; {kind} à faire avant le {day}.',
    'repaired {text}; a {kind} is due by {day}.': '{text} réparé ; {kind} à faire avant le {day}.',
    '{text2} repaired {text} ({work}); a {kind} is due by {day}.':
      '{text2} a réparé {text} ({work}) ; {kind} à faire avant le {day}.',
    '{text2} repaired {text}; a {kind} is due by {day}.':
      '{text2} a réparé {text} ; {kind} à faire avant le {day}.',
    'The test will be added to the plan.': 'L’essai sera ajouté au plan.',
    'Work ended; the controller is updated within a minute or two.':
      'Travail terminé ; le contrôleur est mis à jour d’ici une ou deux minutes.',
    '{text} ended or cancelled work on this circuit.':
      '{text} a terminé ou annulé le travail sur ce circuit.',
    'Its {kind} is overdue.': 'En retard : {kind}.',
    'It has never had a duration test.': 'Il n’a jamais eu d’essai d’autonomie.',
    '{Kind} is overdue: none of its planned tries had a verdict.':
      '{Kind} en retard : aucune des tentatives prévues n’a donné de résultat.',
    'Withdrawn on {day} by {text} (entry {n}): {words}.':
      'Retirée le {day} par {text} (inscription {n}) : {words}.',
    'Recorded: {text} withdrew entry {n}: {words}.': 'Inscrit : {text} a retiré l’inscription {n} : {words}.',
    '{text} withdrew entry {n}: {words}.': '{text} a retiré l’inscription {n} : {words}.',
    'it did not pass.': 'n’a pas réussi.',
    'its sensor was open circuit or saturated on battery.': 'son capteur était coupé ou saturé sur batterie.',
    '{n} mA on battery is below {n2} % of the {n3} mA in the site file.':
      '{n} mA sur batterie est inférieur à {n2} % des {n3} mA du fichier du site.',
    '{n} mA on battery is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA sur batterie dépasse {n2} % des {n3} mA du fichier du site.',
    'its sensor was open circuit or saturated on mains.': 'son capteur était coupé ou saturé sur secteur.',
    '{n} mA on mains is below {n2} % of the {n3} mA in the site file.':
      '{n} mA sur secteur est inférieur à {n2} % des {n3} mA du fichier du site.',
    '{n} mA on mains is more than {n2} % of the {n3} mA in the site file.':
      '{n} mA sur secteur dépasse {n2} % des {n3} mA du fichier du site.',
    'Settings {n} of this circuit describe, in sensor order: {text}.':
      'Les réglages {n} de ce circuit décrivent, dans l’ordre des capteurs : {text}.',
  },
};
