/**
 * Requests about compressed scores, for an editor that shows them without their text lying in a document of its own.
 * The editor keeps the text and tells the server of it as of any other; here it has it unpacked and packed again.
 * Bytes travel in base64.
 */
export const containerRequests = {
  unpack: "placewright/container/unpack",
  save: "placewright/container/save",
} as const;

/** Argument of `placewright/container/unpack`: the bytes of a score file. */
export interface UnpackRequest {
  readonly bytes: string;
}

export interface UnpackedScore {
  readonly text: string;
}

/** Argument of `placewright/container/save`. */
export interface SaveContainerRequest {
  /** Where to: an address on a disk. */
  readonly uri: string;
  /** The container that the text belongs into, as it was read. */
  readonly container: string;
  /** The score as it is to be; nothing but fingering and brackets may differ from the container's. */
  readonly text: string;
  /** The file must still hold the container as it was read; what another program saved meanwhile is not overwritten. */
  readonly replaces: boolean;
}

/** What was written. */
export interface SavedContainer {
  readonly bytes: string;
}
