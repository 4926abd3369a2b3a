/** What went wrong with a file, and what to do about it. */
export function fileTrouble(error: unknown, path: string): string {
  const code = (error as NodeJS.ErrnoException).code;
  switch (code) {
    case "ENOENT":
      return `There is no file or folder ${path}. Check the name.`;
    case "EACCES":
    case "EPERM":
      return `${path} may not be opened. Check its permissions.`;
    case "EROFS":
      return `${path} lies on a disk that can only be read. Write elsewhere.`;
    case "EISDIR":
      return `${path} is a folder. Name a file.`;
    case "ENOSPC":
    case "EDQUOT":
      return `${path} could not be written: the disk is full.`;
    default:
      return `${path}: ${error instanceof Error ? error.message : String(error)}`;
  }
}
