"""Sound calls of the reference cases, each to one public function of the sound room."""

from dataclasses import asdict

from proofpan.science import sound

ADAPTERS = {
    "sound.a_weighting_db": lambda i: {"weighting_db": float(sound.a_weighting_db(i["frequency_hz"]))},
    "sound.c_weighting_db": lambda i: {"weighting_db": float(sound.c_weighting_db(i["frequency_hz"]))},
    "sound.octave_band_hz": lambda i: asdict(sound.octave_band(i["bands_per_octave"], i["index"])),
    "sound.level_sum_db": lambda i: {"level_db": sound.level_sum_db(i["levels_db"])},
    "sound.equivalent_level_db": lambda i: {"level_db": sound.equivalent_level_db(i["levels_db"], i["durations_s"])},
    "sound.exposure_level_db": lambda i: {"level_db": sound.exposure_level_db(i["levels_db"], i["durations_s"])},
    "sound.level_dbfs": lambda i: asdict(sound.level_dbfs(i["samples"])),
    "sound.spectral_centroid_hz": lambda i: {
        "centroid_hz": sound.spectral_centroid_hz(i["frequencies_hz"], i["power"])
    },
    "sound.pressure_level_db": lambda i: {"level_db": sound.pressure_level_db(i["rms_pressure_pa"])},
}
