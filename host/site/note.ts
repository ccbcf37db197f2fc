export type Path = (string | number)[];
/** Notes a mistake at a place in the site file. */
export type Note = (path: Path, message: string) => void;
