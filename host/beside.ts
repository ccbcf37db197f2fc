// Where that lies which belongs to a log book and is no part of it, such as the site secret: beside the file, or for one
// in a database in the working directory, under a name made of the database's.

export function isPostgres(db: string): boolean {
  return /^postgres(ql)?:/i.test(db);
}

/** The path with which the names of those files begin. @param db file or URL of the log book */
export function besideOf(db: string): string {
  if (!isPostgres(db) || !URL.canParse(db)) return db;
  const { hostname, pathname, username, searchParams } = new URL(db);
  const database = decodeURIComponent(pathname.slice(1)) || username || 'postgres';
  const parts = [hostname || 'local', database, searchParams.get('schema') ?? []].flat();
  return ['nightproof', ...parts.map((part) => part.replace(/[^A-Za-z0-9_.-]/g, '_'))].join('-');
}
