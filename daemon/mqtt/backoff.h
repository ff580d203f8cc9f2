#pragma once

#include "base/time.h"

namespace gyle {

// How long to wait before trying to connect again: 1 s, doubled with each failure up to 60 s, of which a
// random part of up to a half is taken off, so that after a broker's restart not all come at once.
class Backoff {
 public:
  // `random` in [0, 1). An attempt has failed.
  Duration after_failure(double random);

  // A connection that held for `lived` is lost. One that held for less than a minute counts as a failed
  // attempt (two clients with one id drive each other out like that), a longer one begins the series anew.
  Duration after_loss(Duration lived, double random);

 private:
  int failures_ = 0;
};

}  // namespace gyle
