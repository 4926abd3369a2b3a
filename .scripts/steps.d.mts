/** Builds dist/, unless it was built from these very sources. Ends the process when the build fails. */
export function build(): void;
