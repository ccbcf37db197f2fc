// What the host says of the site file and its batteries, in French; see said.ts.
import type { SaidOfSite } from './saidOfSite';

export const saidOfSite: SaidOfSite = {
  'Name of the building': 'Nom du bâtiment',
  'Person responsible': 'Personne responsable',
  'Time zone': 'Fuseau horaire',
  'Rule profile': 'Règles appliquées',
  'Compliance schedule': 'Programme de conformité (compliance schedule)',
  'Agreement of the authority': 'Accord de l’autorité',
  'Tests on top of the rule': 'Essais en plus de la règle',
  'Windows for tests': 'Créneaux pour les essais',
  'Opening hours': 'Heures d’ouverture',
  'Days the building is closed': 'Jours de fermeture du bâtiment',
  'Days without tests': 'Jours sans essais',
  'Most circuits tested at the same time': 'Nombre maximal de circuits essayés en même temps',
  'Time between two starts in one night, s': 'Temps entre deux débuts d’essai dans une nuit, s',
  'Where the building is': 'Situation du bâtiment',
  'Days on which someone can deal with a failed test': 'Jours où quelqu’un peut s’occuper d’un essai échoué',
  'Does a central battery system or panel feed any of the lighting?':
    'Une source centralisée ou un tableau alimente-t-il une partie de l’éclairage ?',
  'Its number or name': 'Son numéro ou son nom',
  'Most days between two function tests': 'Nombre maximal de jours entre deux essais de fonctionnement',
  'Most days between two duration tests': 'Nombre maximal de jours entre deux essais d’autonomie',
  'Least length of a duration test, min': 'Durée minimale d’un essai d’autonomie, min',
  'Who agreed, and the date or number of the letter':
    'Qui a donné son accord, et date ou numéro de la lettre',
  'Days between function tests': 'Jours entre les essais de fonctionnement',
  'Days between duration tests': 'Jours entre les essais d’autonomie',
  'Latitude, degrees, south negative': 'Latitude en degrés, sud négatif',
  'Longitude, degrees, west negative': 'Longitude en degrés, ouest négatif',
  Id: 'Identifiant',
  'Name of the floor': 'Nom de l’étage',
  'Name of the area': 'Nom de la zone',
  Floor: 'Étage',
  'Areas an escape route leads into directly': 'Zones où mène directement une voie d’évacuation',
  'Hours when people are there': 'Heures où des personnes s’y trouvent',
  'Are people there day and night?': 'Y a-t-il des personnes jour et nuit ?',
  'Do people sleep there?': 'Y dort-on ?',
  'Are other areas left through it, as by a stair?':
    'Sort-on d’autres zones par ici, comme par un escalier ?',
  'Name of the circuit': 'Nom du circuit',
  'Does the relay also switch off normal lighting?': 'Le relais coupe-t-il aussi l’éclairage normal ?',
  'Is an auxiliary contact of the relay wired?': 'Un contact auxiliaire du relais est-il câblé ?',
  'Charging current right after a duration test, mA':
    'Courant de charge juste après un essai d’autonomie, mA',
  'Time without movement until it counts as empty, s':
    'Temps sans mouvement avant qu’il soit considéré comme vide, s',
  'Rated duration of its luminaires, min': 'Autonomie assignée de ses luminaires, min',
  'Batteries of its luminaires': 'Batteries de ses luminaires',
  'Date their batteries were fitted': 'Date de pose de leurs batteries',
  'Usual temperature at the batteries, °C': 'Température habituelle près des batteries, °C',
  'Current modules on a bus': 'Modules de courant sur un bus',
  'Speed, bit/s': 'Vitesse, bit/s',
  Parity: 'Parité',
  'Kind of registers': 'Type de registres',
  'Register of the current': 'Registre du courant',
  'mA for one count of the register': 'mA par unité du registre',
  Place: 'Emplacement',
  'Area it stands in': 'Zone où il se trouve',
  'Areas its light falls on': 'Zones qu’il éclaire',
  Mode: 'Mode de fonctionnement',
  'Lamp current on battery, mA': 'Courant de lampe sur batterie, mA',
  'Lamp current on mains, mA': 'Courant de lampe sur secteur, mA',
  'Rated duration, min': 'Autonomie assignée, min',
  Battery: 'Batterie',
  'Date the battery was fitted': 'Date de pose de la batterie',
  'Dates its earlier batteries were fitted': 'Dates de pose de ses batteries précédentes',
  'Usual temperature at the battery, °C': 'Température habituelle près de la batterie, °C',
  'Address of its current module on the bus': 'Adresse de son module de courant sur le bus',
  'Its currents were': 'Ses courants ont été',
  measured: 'mesurés',
  "Expected, e.g. by the maker's data: the luminaire is listed as not proven until its measured currents are accepted.":
    'Attendus, p. ex. d’après le fabricant : le luminaire figure comme non prouvé tant que ses courants mesurés ne sont pas acceptés.',
  'a whole number from {n} to {n2}': 'un nombre entier de {n} à {n2}',
  'a number from {n} to {n2}': 'un nombre de {n} à {n2}',
  'a number above 0, up to {n}': 'un nombre supérieur à 0, jusqu’à {n}',
  'one of: {text}': 'un de : {text}',
  '1 to 24 lower-case letters, digits or hyphens': '1 à 24 lettres minuscules, chiffres ou traits d’union',
  '1 to 24 letters, digits or hyphens': '1 à 24 lettres, chiffres ou traits d’union',
  'none; a profile that follows one needs it': 'aucun ; des règles qui en dépendent l’exigent',
  "the rule's own interval": 'l’intervalle de la règle elle-même',
  'only the tests the rule asks for': 'seulement les essais que demande la règle',
  none: 'aucun',
  'not known: daylight or dark is not shown': 'pas connue : jour ou nuit n’est pas affiché',
  'every day': 'tous les jours',
  'none, unless the other area names this one': 'aucune, sauf si l’autre zone nomme celle-ci',
  "the building's opening": 'les heures d’ouverture du bâtiment',
  'found from the floors it joins': 'déduit des étages qu’elle relie',
  'no sensor is fitted': 'aucun capteur n’est monté',
  'each luminaire says it': 'indiqué à chaque luminaire',
  'each luminaire with a module says it': 'indiqué à chaque luminaire qui a un module',
  'not known': 'pas connu',
  '19200 bit/s, even parity, input registers': '19200 bit/s, parité paire, registres d’entrée',
  even: 'paire',
  input: 'registres d’entrée',
  'its own area': 'sa propre zone',
  'dark on mains; a mode that is lit on mains needs it':
    'éteint sur secteur ; un mode allumé sur secteur en a besoin',
  'what its circuit says; one of the two must say it':
    'ce qu’indique son circuit ; l’un des deux doit l’indiquer',
  'what its circuit says, else not known': 'ce qu’indique son circuit, sinon pas connu',
  "the controller's own converter reads it": 'le convertisseur du contrôleur le lit',
  'what its circuit says; needed with a module': 'ce qu’indique son circuit ; nécessaire avec un module',
  'Printed on pages and reports.': 'Figure sur les pages et les rapports.',
  'All hours in the file are local.': 'Toutes les heures du fichier sont locales.',
  'Sets intervals and lengths of tests.': 'Fixe les intervalles et les durées des essais.',
  'Where each building has its own rule.': 'Là où chaque bâtiment a sa propre règle.',
  'Where the rule lets the authority extend its interval.':
    'Là où la règle permet à l’autorité d’allonger l’intervalle.',
  'Tests on top of the rule: function tests where nobody is there or someone looks in for at most half an hour; duration tests also where people are there for up to half a day, the more rarely the more they meet.':
    'Essais en plus de la règle : essais de fonctionnement là où il n’y a personne ou quelqu’un passe une demi-heure au plus ; essais d’autonomie aussi là où des personnes restent jusqu’à une demi-journée, d’autant plus rares qu’ils les concernent.',
  'The longest must hold the longest test and 5 minutes; across noon it counts as two.':
    'Le plus long doit contenir l’essai le plus long et 5 minutes ; à cheval sur midi, il compte pour deux.',
  'None means that nobody is ever there.': 'Aucune signifie qu’il n’y a jamais personne.',
  'Tests are planned around these hours.': 'Les essais sont planifiés en dehors de ces heures.',
  'Nobody is there on these days.': 'Il n’y a personne ces jours-là.',
  'A window that touches one of these days is left out.': 'Un créneau qui touche l’un de ces jours est omis.',
  'Where the building is, for sunrise and sunset.':
    'Situation du bâtiment, pour le lever et le coucher du soleil.',
  'Its indicators are looked at every day.': 'Ses voyants sont contrôlés chaque jour.',
  'Areas an escape route leads into directly.': 'Zones où mène directement une voie d’évacuation.',
  'Neighbours are never without their light in one night.':
    'Des zones voisines ne sont jamais sans lumière la même nuit.',
  'None: never.': 'Aucune : jamais.',
  'Counts as always occupied.': 'Compte comme toujours occupée.',
  'Two ways out of one area are never tested in one night.':
    'Deux sorties d’une zone ne sont jamais essayées la même nuit.',
  "The controller's id, too.": 'Aussi l’identifiant du contrôleur.',
  'Find out at commissioning.': 'À constater à la mise en service.',
  'Such a circuit is tested only while the area is empty.':
    'Un tel circuit n’est essayé que lorsque la zone est vide.',
  'Limited duration tests (2/3) are planned, and the duration test stays owed.':
    'Des essais d’autonomie réduits (2/3) sont planifiés, et l’essai d’autonomie reste dû.',
  'Only for a shared circuit.': 'Seulement pour un circuit partagé.',
  'Only where current modules on a bus read the lamps.':
    'Seulement là où des modules de courant sur un bus lisent les lampes.',
  'Unique in the building; its results stay with it.':
    'Unique dans le bâtiment ; les résultats y restent attachés.',
  'All areas its light falls on.': 'Toutes les zones qu’il éclaire.',
  'Maintained and switched maintained are lit on mains, non-maintained and combined (its emergency lamp) are dark.':
    'Permanent et permanent commandé sont allumés sur secteur ; non permanent et combiné (sa lampe de secours) sont éteints.',
  'Measured at commissioning: the lamp is judged by it. 0.3 A is 300.':
    'Mesuré à la mise en service : la lampe est jugée d’après lui. 0,3 A s’écrit 300.',
  'Check refuses a date after today.': 'Une date après aujourd’hui est refusée.',
  'Nothing was saved: {said}': 'Rien n’a été enregistré : {said}',
  'the site file has been changed since you opened it, in another window or in the file itself.':
    'le fichier du site a été modifié depuis que vous l’avez ouvert, dans une autre fenêtre ou à la main.',
  'Load the page again and enter your change once more.':
    'Rechargez la page et saisissez votre modification encore une fois.',
  'the host is still taking over the last change; save again when it has.':
    'l’hôte reprend encore la dernière modification ; enregistrez de nouveau quand il aura fini.',
  'the host still waits with the last change: {said}':
    'l’hôte attend encore avec la dernière modification : {said}',
  'the last change was saved, but the host does not work with it yet; start the host again.':
    'la dernière modification a été enregistrée, mais l’hôte ne travaille pas encore avec elle ; redémarrez l’hôte.',
  '{text} was changed by hand since the host was started; start the host again, or put the file back as it was.':
    '{text} a été modifié à la main depuis le démarrage de l’hôte ; redémarrez l’hôte, ou remettez le fichier comme il était.',
  'these are {n} changes, and at most {n2} are saved at once; save some of them first.':
    'cela fait {n} modifications, et {n2} au plus sont enregistrées à la fois ; enregistrez-en d’abord une partie.',
  'Nothing was changed.': 'Rien n’a été modifié.',
  'Save it when the test is over.': 'Enregistrez quand l’essai est terminé.',
  'a test is running on circuit {id}, which this changes.':
    'un essai est en cours sur le circuit {id}, que ceci modifie.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, change the file itself, and start the host again.':
    'un essai était en cours sur le circuit {id}, que ceci modifie, quand son contrôleur a été entendu pour la dernière fois ; si le contrôleur n’existe plus, modifiez le fichier lui-même et redémarrez l’hôte.',
  'a test was running on circuit {id}, which this changes, when its controller was last heard; if the controller is gone for good, start the host again.':
    'un essai était en cours sur le circuit {id}, que ceci modifie, quand son contrôleur a été entendu pour la dernière fois ; si le contrôleur n’existe plus, redémarrez l’hôte.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'une panne du dispositif d’essai est signalée sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, modifiez le fichier lui-même et redémarrez l’hôte.',
  'a tester fault is reported on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'une panne du dispositif d’essai est signalée sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, redémarrez l’hôte.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'le circuit {id} est sans secteur, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, modifiez le fichier lui-même et redémarrez l’hôte.',
  'the mains is missing on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'le circuit {id} est sans secteur, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, redémarrez l’hôte.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'les essais sont suspendus sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, modifiez le fichier lui-même et redémarrez l’hôte.',
  'tests are held on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'les essais sont suspendus sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, redémarrez l’hôte.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, change the file itself, and start the host again.':
    'l’alimentation n’est pas prouvée sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, modifiez le fichier lui-même et redémarrez l’hôte.',
  'the supply is not proven on circuit {id}, and its alarm would go with it; if the circuit is gone for good, start the host again.':
    'l’alimentation n’est pas prouvée sur le circuit {id}, et son alarme disparaîtrait avec lui ; si le circuit n’existe plus, redémarrez l’hôte.',
  'Saved, and entered in the log book.': 'Enregistré et inscrit au registre de sécurité.',
  'The host is taking it over.': 'L’hôte est en train de le reprendre.',
  'This is a demonstration, and its building is fixed.':
    'Ceci est une démonstration, et son bâtiment est fixe.',
  'Start the host with a site file of your own, nightproof serve SITE.yaml, to change it here.':
    'Démarrez l’hôte avec votre propre fichier de site, nightproof serve SITE.yaml, pour le modifier ici.',
  'This host was started with a site that stays as it is.':
    'Cet hôte a été démarré avec un bâtiment qui reste tel quel.',
  '{n} to {n2} characters': '{n} à {n2} caractères',
  'a real date, YYYY-MM-DD': 'une date réelle, AAAA-MM-JJ',
  'must be {said}, but is {text}; write {text2}.': 'il faut {said}, mais c’est {text} ; écrivez {text2}.',
  'must be {said}, but is {text}; did you mean {text2}?':
    'il faut {said}, mais c’est {text} ; vouliez-vous dire {text2} ?',
  'must be {said}, but is {text}.': 'il faut {said}, mais c’est {text}.',
  'is missing; it must be {said}.': 'manque ; il faut {said}.',
  'is missing; write it for the luminaire or once for its circuit.':
    'manque ; indiquez-le pour le luminaire ou une fois pour son circuit.',
  'is missing; a {mode} luminaire is lit on mains, so write its current.':
    'manque ; dans ce mode ({mode}) il est allumé sur secteur, indiquez donc son courant.',
  'the emergency lamp of a {mode} luminaire is dark on mains; remove this field.':
    'dans ce mode ({mode}) la lampe de secours est éteinte sur secteur ; videz ce champ.',
  'there is another {thing} "{id}"; give each one its own id.':
    'l’identifiant « {id} » est déjà pris ({thing}) ; chacun doit avoir le sien.',
  'no luminaire is in area "{id}" or lights it; name it as area or in serves of a luminaire, or remove it.':
    'aucun luminaire n’est dans la zone « {id} » ou ne l’éclaire ; choisissez-la pour un luminaire, ou retirez-la.',
  'circuit "{id}" has {n} luminaires, but a controller has {n2} sensor inputs; move the rest to another circuit.':
    'le circuit « {id} » a {n} luminaires, mais un contrôleur a {n2} entrées de capteur ; mettez les autres dans un autre circuit.',
  'only a shared circuit waits for an empty area; remove this field.':
    'seul un circuit partagé attend une zone vide ; videz ce champ.',
  'people sleep in area "{id}", which counts as always occupied; remove this field.':
    'on dort dans la zone « {id} », elle compte comme toujours occupée ; videz ce champ.',
  '{id} is after today, {id2}; write the date on which the battery was fitted.':
    '{id} est après aujourd’hui, {id2} ; indiquez la date de pose de la batterie.',
  'There is no {thing} "{id}" in the site file any more; load the page again.':
    '« {id} » ({thing}) n’existe plus dans le fichier du site ; rechargez la page.',
  'No one is recorded as working there.': 'Personne n’y est inscrit au travail.',
  'That time is already over; give a later end.': 'Ce moment est déjà passé ; indiquez une fin plus tardive.',
  'The time must be at least {n} min.': 'La durée doit être d’au moins {n} min.',
  'There is no plan yet; run the host with this site first.':
    'Il n’y a pas encore de plan ; faites d’abord tourner l’hôte avec ce bâtiment.',
  'The site file does not allow tests on {id}.': 'Le fichier du site ne permet pas d’essais le {id}.',
  'The log book holds no complete test of circuit {id} as it is wired now.':
    'Le registre ne contient aucun essai complet du circuit {id} tel qu’il est câblé maintenant.',
  'Test it first.': 'Essayez-le d’abord.',
  'Every luminaire of circuit {id} is judged by measured currents already.':
    'Chaque luminaire du circuit {id} est déjà jugé d’après des courants mesurés.',
  'No {kind} has judged it by its measured currents yet.':
    'Pas encore jugé d’après ses courants mesurés ; manque : {kind}.',
  'Circuit {id} has no luminaire {id2}.': 'Le circuit {id} n’a pas de luminaire {id2}.',
  'Circuit {id} has no open defect.': 'Le circuit {id} n’a pas de défaut ouvert.',
  'Luminaire {id} has no open defect.': 'Le luminaire {id} n’a pas de défaut ouvert.',
  'The due date {id} is more than ten years away; give one up to {id2}.':
    'L’échéance {id} est à plus de dix ans ; indiquez-en une jusqu’au {id2}.',
  'Give an owner, a due date, an interim measure or a remark; nothing was entered.':
    'Indiquez un responsable, une échéance, une mesure provisoire ou une remarque ; rien n’a été inscrit.',
  'The log book has no entry {n}.': 'Le registre n’a pas d’inscription {n}.',
  'Entry {n} is no repair and no inspection of this site: nothing else can be withdrawn.':
    'L’inscription {n} n’est ni une réparation ni une visite de ce bâtiment : rien d’autre ne peut être retiré.',
  'Entry {n} was withdrawn before, by {text} on {day}.':
    'L’inscription {n} a déjà été retirée, par {text} le {day}.',
  'Entry {n} was withdrawn before.': 'L’inscription {n} a déjà été retirée.',
  'Say why it is withdrawn.': 'Dites pourquoi elle est retirée.',
  'Give the time at which it was done.': 'Indiquez quand cela a été fait.',
  'The controller is updated within a minute or two.': 'Le contrôleur est mis à jour en une ou deux minutes.',
  'The battery was probably changed; write its date into the site file (batteryFitted).':
    'La batterie a probablement été remplacée ; indiquez sa date dans le fichier du site (batteryFitted).',
  'Too little data: {said}.': 'Trop peu de données : {said}.',
  '{n} of {n2} failures are of batteries whose date is not in the site file; write it there (batteriesBefore)':
    '{n} défaillances sur {n2} concernent des batteries dont la date n’est pas dans le fichier du site ; indiquez-la (batteriesBefore)',
  '{n} seen to last and later fall short from age; {n2} are needed':
    '{n} ont d’abord tenu puis n’ont plus suffi par vieillissement ; il en faut {n2}',
  'the known lives do not yet tell short from long ones':
    'les durées de vie connues ne distinguent pas encore les courtes des longues',
  'Probably lasts its rated duration until {month}; 90 % of such batteries fall short between {month2} and {month3}.':
    'Tient probablement son autonomie assignée jusqu’à {month} ; 90 % de ces batteries ne l’atteignent plus entre {month2} et {month3}.',
  now: 'maintenant',
  'after {n}': 'après {n}',
  'An estimate from {n} batteries of its type that failed from age.':
    'Une estimation d’après {n} batteries de son type, défaillantes par vieillissement.',
  'Tests can be started on demand from {moment} to {moment2}; the controller is updated within a minute or two.':
    'Des essais peuvent être lancés sur ordre de {moment} à {moment2} ; le contrôleur est mis à jour en une ou deux minutes.',
};
