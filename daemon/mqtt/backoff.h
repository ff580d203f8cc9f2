#pragma once

#include "base/time.h"

namespace gyle {

// How long to wait before trying to connect again, doubled from 1 s each time: up to 10 s while no connection
// can be had, so that a broker is found soon after it is back; up to 60 s while connections are had and lost
// within a minute (two clients with one id drive each other out like that). A random part of up to a half is
// taken off, so that after a broker's restart not all come at once.
class Backoff {
 public:
  // `random` in [0, 1). An attempt has failed.
  Duration after_failure(double random);

  // A connection that held for `lived` is lost.
  Duration after_loss(Duration lived, double random);

 private:
  int failures_ = 0;     // since the last connection
  int short_lives_ = 0;  // connections since the last one that held for a minute
};

}  // namespace gyle
