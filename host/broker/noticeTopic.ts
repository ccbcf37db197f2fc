/** Where the host leaves its risk notice for displays and people; below no controller, and unsigned. */
export function noticeTopic(site: string): string {
  return `nightproof/${site}/notice`;
}
