// What the rule profiles require, as a campaign needs it: the numbers of host/profiles, which the simulator
// may not import. A test compares the two.

export interface CampaignRules {
  profile: string;
  /** Days between two function tests and between two full tests. */
  briefDays: number;
  fullDays: number;
  briefSec: number;
  briefRechargeSec: number;
  rechargeSec: number;
  /** Charge before a commissioning test and its length, s; 0: there is none. */
  firstChargeSec: number;
  commissionSec: number;
}

const MONTHLY = {
  briefDays: 28,
  fullDays: 365,
  briefSec: 90,
  briefRechargeSec: 3600,
  rechargeSec: 86_400,
  firstChargeSec: 0,
  commissionSec: 0,
};

/**
 * No profile asks for so little: the shortest recharge a controller accepts, because a long one hides many
 * rules.
 */
export const QUICKEST_RULES: CampaignRules = {
  ...{ profile: 'none', ...MONTHLY },
  ...{ briefDays: 14, fullDays: 60, briefRechargeSec: 600, rechargeSec: 3600 },
};

export const CAMPAIGN_RULES: readonly CampaignRules[] = [
  { profile: 'en50172', ...MONTHLY },
  { profile: 'cie193', ...MONTHLY },
  { profile: 'nfpa101-computer', ...MONTHLY, briefDays: 30 },
  { profile: 'germany', ...MONTHLY, briefDays: 7 },
  { profile: 'ireland', ...MONTHLY, briefDays: 91, briefSec: 1800, briefRechargeSec: 86_400 },
  { profile: 'france-erp', ...MONTHLY, fullDays: 182 },
  { profile: 'italy', ...MONTHLY, briefDays: 182 },
  {
    profile: 'as-nzs-2293',
    ...MONTHLY,
    briefDays: 182,
    fullDays: 182,
    firstChargeSec: 57_600,
    commissionSec: 7200,
  },
];
