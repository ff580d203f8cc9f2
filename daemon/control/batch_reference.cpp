#include "control/batch_reference.h"

#include <fmt/format.h>

#include <algorithm>

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

}  // namespace

Result<BatchRecord> find_batch(std::span<const BatchRecord> batches, std::string_view reference) {
  const BatchRecord* found = nullptr;
  int found_rank = 0;
  for (const BatchRecord& batch : batches) {
    int rank = 0;
    const std::string number = std::to_string(batch.id);
    if ("#" + number == reference)
      rank = 5;
    else if (!batch.packaged && batch.vessel == reference)
      rank = 4;
    else if (number == reference)
      rank = 3;
    else if (!batch.packaged && batch.spec.name == reference)
      rank = 2;
    else if (batch.spec.name == reference)
      rank = 1;
    if (rank == 0 || rank < found_rank) continue;
    found = &batch;
    found_rank = rank;
  }
  if (found != nullptr) return *found;
  return fail(Errc::not_found, fmt::format("no batch is called '{}' ({})", reference, choices(batches)));
}

}  // namespace gyle
