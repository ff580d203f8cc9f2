#include "web/process_figures.h"

#include <sys/resource.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

namespace gyle {
namespace {

// The fields of /proc/self/stat after the name, which may hold anything: the first is field 3 of proc(5).
std::vector<double> stat_fields() {
  std::ifstream in("/proc/self/stat");
  std::string text{std::istreambuf_iterator<char>(in), {}};
  const auto name_end = text.rfind(')');
  if (name_end == std::string::npos) return {};
  std::istringstream rest(text.substr(name_end + 4));  // ") S "
  return {std::istream_iterator<double>(rest), {}};
}

std::optional<Time> boot_time() {
  std::ifstream in("/proc/stat");
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with("btime ")) return Time(seconds(std::strtoll(line.c_str() + 6, nullptr, 10)));
  }
  return std::nullopt;
}

}  // namespace

ProcessFigures process_figures() {
  ProcessFigures figures;
  const std::vector<double> fields = stat_fields();  // fields[n] is number n + 4 of proc(5)
  const auto ticks = static_cast<double>(sysconf(_SC_CLK_TCK));
  if (fields.size() > 20 && ticks > 0) {
    figures.cpu = from_hours((fields[10] + fields[11]) / ticks / 3600);
    if (const auto boot = boot_time()) figures.started = *boot + from_hours(fields[18] / ticks / 3600);
    figures.virtual_bytes = fields[19];
    figures.resident_bytes = fields[20] * static_cast<double>(sysconf(_SC_PAGESIZE));
  }
  std::error_code error;
  std::filesystem::directory_iterator entry("/proc/self/fd", error);
  if (!error) {
    double count = 0;
    for (const auto end = std::filesystem::directory_iterator(); !error && entry != end;
         entry.increment(error))
      ++count;
    figures.open_fds = count - 1;  // without the one that looks
  }
  rlimit limit{};
  if (getrlimit(RLIMIT_NOFILE, &limit) == 0) figures.most_fds = static_cast<double>(limit.rlim_cur);
  return figures;
}

}  // namespace gyle
