#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "wording/display.h"

namespace gyle {

// What `gylekeeper check` and the page's list of first steps say. Facts come from the probes of the daemon and of the tool;
// the rules here judge them. Pure.
//   tests   unit/wording/check_lines_test.cpp

enum class Verdict {
  right,
  look,   // could not be seen, or worth a look; the watch works
  wrong,  // the watch does not work, or will not
};

// "right", "look", "wrong".
const char* name(Verdict verdict);

struct CheckLine {
  std::string part;  // one of kCheckParts
  Verdict verdict;
  std::string text;   // a sentence: what is the case
  std::string to_do;  // a sentence; empty: nothing

  bool operator==(const CheckLine&) const = default;
};

// In the order in which they are shown.
inline constexpr const char* kCheckParts[] = {"configuration", "daemon", "broker",  "database",   "clock",
                                              "channel",       "page",   "sensors", "calibration"};

// "wrong  broker         nobody answers there. See that the broker runs." Those of a part stand together, by
// kCheckParts; no control characters, whatever names hold.
std::vector<std::string> check_lines(std::vector<CheckLine> lines);

bool any_wrong(const std::vector<CheckLine>& lines);

struct BrokerFacts {
  std::string address;   // without credentials
  std::string trouble;   // why there is no connection, as a sentence without a full stop; empty: there is one
  bool version5 = true;  // MQTT 3.1.1 says nothing about its limits
  Duration expiry_wanted{};
  // Of the daemon's connection; absent: of another, which shows nothing about it. A broker that does not name
  // an expiry grants what was asked for.
  std::optional<Duration> expiry_granted;
  std::optional<std::uint32_t> receive_maximum;       // absent: 65535
  std::optional<std::uint32_t> largest_packet_bytes;  // absent: no limit
};
std::vector<CheckLine> broker_lines(const BrokerFacts& facts);

// A message that was sent to itself.
struct EchoFacts {
  std::string topic;
  std::optional<Duration> took;  // absent: it did not come back
  std::string trouble;           // why, as far as known
};
CheckLine echo_line(const EchoFacts& facts);

struct DatabaseFacts {
  std::string file;
  std::string trouble;  // damage, or why it cannot be written or read; empty: none is known
  std::string holds;    // when it was read whole: "12 batches, ..."; empty: it was not
  std::optional<std::uint64_t> free_bytes;
  std::uint64_t database_bytes = 0;
  std::uint64_t log_bytes = 0;  // of its write-ahead log
};
std::vector<CheckLine> database_lines(const DatabaseFacts& facts);

struct ClockFacts {
  std::optional<bool> synchronised;  // absent: it cannot be seen from here
  std::string source;                // "systemd-timesyncd", ...; empty: none was found
};
CheckLine clock_line(const ClockFacts& facts);

struct ChannelFacts {
  std::string name;
  std::string kind;      // "webhook", ...
  std::string trouble;   // why it cannot be used, reached, or did not deliver; empty: none
  bool reached = false;  // its server answers
  bool tested = false;   // a test has arrived
  std::int64_t waiting = 0;
  std::int64_t refused = 0;
};
CheckLine channel_line(const ChannelFacts& facts);

struct PageFacts {
  bool enabled = true;
  std::string url;
  std::string trouble;  // why it does not answer
  bool encrypted = false;
  bool this_machine_only = true;
  bool secret = false;  // token_file is set
  std::optional<Time> certificate_ends;
};
std::vector<CheckLine> page_lines(const PageFacts& facts, const DisplaySettings& display, Time now);

struct SensorFacts {
  std::string sensor;
  std::string vessel;              // empty: in none
  std::optional<Time> heard;       // absent: never
  bool silent = false;             // as its batch judges it
  std::optional<Time> refused;     // the newest refusal that names it,
  std::string refusal;             // and its reason
  bool inclination = false;        // it sends inclinations,
  bool gravity = false;            // and gravities
  std::optional<Time> calibrated;  // it has a calibration
};
// Of sensors and their calibrations. `vessels`: how many are configured.
std::vector<CheckLine> sensor_check_lines(const std::vector<SensorFacts>& sensors, std::size_t vessels,
                                          const DisplaySettings& display, Time now);

}  // namespace gyle
