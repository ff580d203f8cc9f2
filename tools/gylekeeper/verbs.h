#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "exit_code.h"

namespace gyle {

// Options that every verb knows.
struct CommonOptions {
  std::optional<std::filesystem::path> config;  // absent: the usual place, where it may be missing
  std::optional<std::filesystem::path> socket;  // absent: as the configuration says
  bool json = false;                            // for machines
};

struct PitchOptions {
  std::string vessel;
  std::optional<std::filesystem::path> batch_file;
  std::optional<std::string> pitched;  // clock/local_time.h; absent: as the file says, or now
  // What BATCH.toml would say.
  std::string name;
  std::optional<std::string> original_gravity;
  std::optional<std::string> volume;
  std::string yeast;
  std::optional<std::string> attenuation;  // "0.73:0.79"
  std::optional<std::string> yeast_range;  // "16 Cel:22 Cel"
  std::vector<std::string> holds;          // hold_text.h
};

struct PackageOptions {
  std::string batch;
  std::optional<std::string> time;  // clock/local_time.h; absent: now
};

struct StatusOptions {
  std::string batch;  // empty: every batch that is in a vessel
};

struct CurveOptions {
  std::string batch;  // empty: the only one that is in a vessel
  std::optional<std::filesystem::path> output;
};

struct ExportOptions {
  std::string batch;
  std::string what;  // raw, curve or alerts
  std::optional<std::filesystem::path> output;
};

struct ReportOptions {
  std::vector<std::string> batches;  // one or more
  std::optional<std::filesystem::path> output;
};

struct AlertsOptions {
  std::string batch;  // empty: every batch that is in a vessel
  bool follow = false;
  bool standing = false;  // only what still stands, with numbers
  bool watcher = false;   // what the watcher said of itself instead
};

struct AcknowledgeOptions {
  std::uint64_t alert = 0;
};

struct SnoozeOptions {
  std::uint64_t alert = 0;
  std::string until;  // clock/local_time.h
};

struct ChannelsOptions {
  std::string retry;  // what this channel's far end refused is sent again; empty: nothing
};

struct AlertTestOptions {
  std::string channel;
};

struct ExplainOptions {
  std::string batch;
};

struct ForecastOptions {
  std::string batch;
  std::optional<std::string> hold;      // "22 Cel"
  std::optional<std::string> from;      // clock/local_time.h; absent: now
  std::optional<std::string> ready_by;  // clock/local_time.h
};

struct SensorsOptions {};

struct RefusalsOptions {
  unsigned limit = 20;
};

struct SampleOptions {
  std::string batch;
  std::string reading;                       // a gravity; of a refractometer degrees Brix or Plato
  std::optional<std::string> time;           // clock/local_time.h; absent: now
  std::optional<std::string> temperature;    // of the sample: "24 Cel"
  std::optional<std::string> calibrated_at;  // the hydrometer's
  bool refractometer = false;
  std::optional<std::string> wort_correction;
};

struct NoteOptions {
  std::string batch;
  std::string text;
  std::optional<std::string> time;  // clock/local_time.h; absent: now
};

struct NotesOptions {
  std::string batch;
};

struct ReplayOptions {
  std::filesystem::path batch;
  std::filesystem::path readings;
  std::optional<std::filesystem::path> alerts;
  std::optional<std::filesystem::path> curve;
  std::optional<std::filesystem::path> forecasts;
};

struct RehearseOptions {
  std::string scenario;
  std::uint64_t seed = 1;
  double speed = 1.0;  // times life; infinite: as fast as the broker takes it
  std::optional<std::string> interval;
  std::optional<std::string> pitched;
  std::optional<std::string> broker;
  std::string topic = "gylekeeper/rehearsal";
  std::optional<std::filesystem::path> write_batch;
  std::optional<std::filesystem::path> write_readings;
  bool dry_run = false;
  bool quiet = false;
};

struct ListenOptions {
  std::vector<std::string> topics;
  std::optional<std::string> broker;
  std::optional<std::uint64_t> count;  // stop after so many messages
};

// Each verb does its work and says what came of it.
Exit run(const PitchOptions& options, const CommonOptions& common);
Exit run(const PackageOptions& options, const CommonOptions& common);
Exit run(const StatusOptions& options, const CommonOptions& common);
Exit run(const CurveOptions& options, const CommonOptions& common);
Exit run(const ExportOptions& options, const CommonOptions& common);
Exit run(const ReportOptions& options, const CommonOptions& common);
Exit run(const AlertsOptions& options, const CommonOptions& common);
Exit run(const AcknowledgeOptions& options, const CommonOptions& common);
Exit run(const SnoozeOptions& options, const CommonOptions& common);
Exit run(const ChannelsOptions& options, const CommonOptions& common);
Exit run(const AlertTestOptions& options, const CommonOptions& common);
Exit run(const ExplainOptions& options, const CommonOptions& common);
Exit run(const ForecastOptions& options, const CommonOptions& common);
Exit run(const SampleOptions& options, const CommonOptions& common);
Exit run(const NoteOptions& options, const CommonOptions& common);
Exit run(const NotesOptions& options, const CommonOptions& common);
Exit run(const SensorsOptions& options, const CommonOptions& common);
Exit run(const RefusalsOptions& options, const CommonOptions& common);
Exit run(const ReplayOptions& options, const CommonOptions& common);
Exit run(const RehearseOptions& options, const CommonOptions& common);
Exit run(const ListenOptions& options, const CommonOptions& common);

}  // namespace gyle
