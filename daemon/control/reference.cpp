#include "control/reference.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"

namespace gyle {
namespace {

std::string choices(std::span<const BatchRecord> batches) {
  std::string list;
  for (const BatchRecord& batch : batches) {
    if (batch.packaged) continue;
    list += fmt::format("{}\"{}\" in {}", list.empty() ? "" : ", ", batch.spec.name, batch.vessel);
  }
  return list.empty() ? "no batch is fermenting" : "fermenting: " + list;
}

struct Found {
  const BatchRecord* batch = nullptr;
  int rank = 0;
  std::string_view name;   // by which it was found
  bool ambiguous = false;  // by several spellings alike
};

// `same` compares a name with what was asked for.
template <class Same>
Found find(std::span<const BatchRecord> batches, std::string_view reference, Same same) {
  Found found;
  for (const BatchRecord& batch : batches) {
    int rank = 0;
    const std::string number = std::to_string(batch.id);
    if ("#" + number == reference)
      rank = 5;
    else if (!batch.packaged && same(batch.vessel))
      rank = 4;
    else if (number == reference)
      rank = 3;
    else if (!batch.packaged && same(batch.spec.name))
      rank = 2;
    else if (same(batch.spec.name))
      rank = 1;
    if (rank == 0 || rank < found.rank) continue;
    const std::string_view name = rank == 4 ? batch.vessel : batch.spec.name;
    const bool differs = rank == found.rank && name != found.name;
    found = {&batch, rank, name, rank == found.rank && (found.ambiguous || differs)};
  }
  return found;
}

}  // namespace

Result<BatchRecord> find_batch(std::span<const BatchRecord> batches, std::string_view reference) {
  Found found = find(batches, reference, [&](const std::string& name) { return name == reference; });
  if (found.batch != nullptr) return *found.batch;
  const std::string wanted = folded(reference);
  found = find(batches, reference, [&](const std::string& name) { return folded(name) == wanted; });
  if (found.batch != nullptr && !found.ambiguous) return *found.batch;
  if (found.batch != nullptr) {
    return fail(Errc::conflict, fmt::format("'{}' may be several batches; write capital and small letters as "
                                            "they are ({})",
                                            reference, choices(batches)));
  }
  return fail(Errc::not_found, fmt::format("no batch is called '{}' ({})", reference, choices(batches)));
}

Result<SensorRecord> find_sensor(const Cellar& cellar, const std::string& id) {
  if (auto exact = cellar.sensor(id)) return std::move(*exact);
  constexpr std::size_t kLookedAt = 1000;
  std::optional<SensorRecord> alike;
  std::size_t count = 0;
  for (SensorRecord& one : cellar.sensors({}, kLookedAt)) {
    if (folded(one.sensor) != folded(id)) continue;
    alike = std::move(one);
    ++count;
  }
  if (count == 1) return std::move(*alike);
  return fail(Errc::not_found, fmt::format("no sensor called \"{}\" has been heard", id));
}

}  // namespace gyle
