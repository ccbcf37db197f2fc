// Every rule profile, one line for each file of profiles.
export { hongKong, hongKongTo500, japan, singapore } from './asia';
export { asNzs2293, newZealand } from './australasia';
export { cie193, en50172, en50172of2024 } from './en50172';
export { franceErp, germany, ireland, italy } from './europe';
export { canada, minnesota, nfpa101Computer, nfpa101Manual, nfpa101SelfTesting } from './northAmerica';
