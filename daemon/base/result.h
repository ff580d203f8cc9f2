#pragma once

#include <boost/outcome/basic_result.hpp>
#include <boost/outcome/policy/terminate.hpp>
#include <boost/outcome/try.hpp>
#include <string>
#include <utility>

namespace gyle {

enum class Errc {
  malformed,     // not in the form it claims to be
  out_of_range,  // well formed, but not physically possible
  missing,       // something required is absent
  not_found,     // the thing asked for does not exist
  conflict,      // contradicts what is there already
  too_few,       // not enough data to answer honestly
  unavailable,   // another part does not answer; trying again may help
  storage,       // the database refused
  refused,       // not permitted
};

// Name of the code as it appears in logs and JSON, e.g. "out_of_range".
const char* name(Errc code);

// An error is a value: what kind, and one sentence a brewer can act on.
struct Error {
  Errc code;
  std::string message;

  // Whether the same call may succeed later without anyone changing anything.
  bool worth_retrying() const { return code == Errc::unavailable || code == Errc::storage; }
};

// Every fallible call returns one. Reading the value of a failed result is a bug of ours and terminates.
template <class T>
using Result = boost::outcome_v2::basic_result<T, Error, boost::outcome_v2::policy::terminate>;
using Status = Result<void>;

inline auto success() { return boost::outcome_v2::success(); }

// `return fail(Errc::malformed, "...")` from any function that returns a Result.
inline auto fail(Errc code, std::string message) {
  return boost::outcome_v2::failure(Error{code, std::move(message)});
}

}  // namespace gyle
