#include "app/machine.h"

#include <sys/statvfs.h>
#include <time.h>

namespace gyle {
namespace {

std::uint64_t size_of(const std::filesystem::path& file) {
  std::error_code absent;
  const std::uintmax_t size = std::filesystem::file_size(file, absent);
  return absent ? 0 : size;
}

}  // namespace

// CLOCK_BOOTTIME rather than std::chrono's steady clock, which stands still while the machine sleeps: a
// laptop that wakes up would seem to have had its clock put forward.
Duration time_since_boot() {
  timespec now{};
  clock_gettime(CLOCK_BOOTTIME, &now);
  return std::chrono::floor<Duration>(std::chrono::seconds(now.tv_sec) +
                                      std::chrono::nanoseconds(now.tv_nsec));
}

MachineLook look_at_machine(const Clock& wall, const std::filesystem::path& database) {
  MachineLook look{wall.now(), time_since_boot(), {}};
  struct statvfs disk {};
  if (statvfs(database.c_str(), &disk) == 0) {
    look.disk = {std::uint64_t{disk.f_bavail} * disk.f_frsize,
                 size_of(database) + size_of(database.string() + "-wal")};
  }
  return look;
}

}  // namespace gyle
