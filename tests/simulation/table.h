#pragma once

#include <string>
#include <vector>

#include "simulation/scoring.h"
#include "simulation/simulated_batch.h"

namespace gyle::simulation {

// What is kept of a batch once it has been judged.
struct Judged {
  std::string kind;
  std::uint64_t seed;
  Family family;
  bool healthy;
  bool never_started;
  Score score;
};

// One line of the table.
struct Row {
  std::string quantity;
  std::string reached;
  std::string goal;
  bool met;
};

// The quantities a judgement is held against, with the goal beside each.
std::vector<Row> rows_of(const std::vector<Judged>& batches);

// A line per kind of batch, or per kinetic family.
std::string by_kind(const std::vector<Judged>& batches);
std::string by_family(const std::vector<Judged>& batches);
// By which factor the 80 % intervals of healthy beers would have to be scaled to hold eight in ten, by the share
// of the fall that is done: over all kinetic families, and over all but one, with how often that one's truth is
// then held.
std::string calibration(const std::vector<Judged>& batches);

// The batches behind the failures: seeds that missed, and the largest errors.
std::string worst(const std::vector<Judged>& batches);

// Nearest-rank quantile of `values`, q in [0, 1]; NaN when empty.
double quantile(std::vector<double> values, double q);

}  // namespace gyle::simulation
