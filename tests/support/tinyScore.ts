/** The short notation that rules' examples are written in; whoever writes rules elsewhere has it too. */
export * from "../../shared/library/tinyScore.ts";
