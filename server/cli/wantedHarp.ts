import { harpPreset, harpPresets } from "../../shared/harp/instruments.ts";
import { openTuning, openTunings, type Stringing } from "../../shared/harp/tunings.ts";
import { analyse, type Settings } from "../../shared/service/analyse.ts";
import { easiestTuning, tuningDemands } from "../../shared/service/harpDemands.ts";
import { InputError } from "../../shared/text/problem.ts";
import type { Arguments, Options } from "./arguments.ts";

/** The harps that are meant when nobody says which: the one that most pupils past the beginning have, and the concert harp. */
export const usualHarps = { lever: "lever-34", pedal: "pedal-47" } as const;

/** The options that name a harp. */
export const harpOptions: Options = {
  harp: {
    value: "KIND",
    choices: harpPresets.map(({ name }) => name),
    help: `The harp that is played; the one of the settings, else ${usualHarps.lever}.`,
  },
  tuning: {
    value: "KEY",
    choices: openTunings.map(({ name }) => name),
    help: "How its open strings are tuned; as is easiest without it.",
  },
};

/** The harp that the call names, else the one of the settings, else the usual one. */
export function wantedHarp(
  args: Arguments,
  known: Stringing | undefined,
  usual: string = usualHarps.lever,
): Stringing {
  const kind = args.value("harp");
  const key = args.value("tuning");
  const base: Stringing = kind ? { harp: harpPreset(kind)! } : (known ?? { harp: harpPreset(usual)! });
  if (key === undefined) return base;
  if (base.harp.mechanism === "pedal")
    throw new InputError("A pedal harp has no tuning to choose: leave out --tuning.");
  return { ...base, open: openTuning(key)! };
}

/**
 * The settings with the harp whose levers or pedals are to be written, and in a sentence what of it was assumed.
 * @throws InputError when the harp is of the other kind.
 */
export function withHarpToMark(
  args: Arguments,
  settings: Settings,
  text: string,
): { readonly settings: Settings; readonly assumed?: string } {
  const mechanism = args.has("levers") ? "lever" : args.has("pedals") ? "pedal" : undefined;
  if (!mechanism) {
    if (args.value("harp") === undefined && args.value("tuning") === undefined) return { settings };
    return { settings: { ...settings, instrument: wantedHarp(args, settings.instrument) } };
  }
  const instrument = wantedHarp(args, settings.instrument, usualHarps[mechanism]);
  if (instrument.harp.mechanism !== mechanism) {
    throw new InputError(
      mechanism === "lever"
        ? "The harp is a pedal harp: use --pedals, or name a lever harp with --harp."
        : "The harp is a lever harp: use --levers, or name a pedal harp with --harp.",
    );
  }
  const wanted = { ...settings, instrument };
  if (mechanism === "pedal" || instrument.open) return { settings: wanted };
  const analysis = analyse(text, wanted);
  if (!analysis.harp) return { settings: wanted };
  const { tuning } = easiestTuning(tuningDemands(analysis, instrument.harp, instrument.levers));
  return {
    settings: { ...wanted, instrument: { ...instrument, open: tuning } },
    assumed: `No tuning is named: ${tuning.title}, the easiest, is assumed.`,
  };
}
