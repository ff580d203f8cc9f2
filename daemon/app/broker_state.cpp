#include "app/broker_state.h"

namespace gyle {
namespace {

// After a connect, and after the last message that had waited: more may come until then.
constexpr Duration kCatchingUp = seconds(10);

}  // namespace

void BrokerState::take(const LinkEvent& event, Time now) {
  switch (event.kind) {
    case LinkEvent::Kind::connected:
      connected_ = true;
      limits_ = event.limits;
      busy_until_ = now + kCatchingUp;
      break;
    case LinkEvent::Kind::lost:
    case LinkEvent::Kind::refused:
      connected_ = false;
      trouble_ = event.text;
      break;
    case LinkEvent::Kind::degraded:
    case LinkEvent::Kind::denied:
      break;
  }
}

void BrokerState::backlog(Time now) { busy_until_ = now + kCatchingUp; }

BrokerFacts BrokerState::facts(Duration expiry_wanted) const {
  BrokerFacts facts;
  facts.trouble = connected_ ? "" : trouble_;
  facts.version5 = limits_.version5;
  facts.expiry_wanted = expiry_wanted;
  facts.expiry_granted = limits_.session_expiry.value_or(expiry_wanted);
  facts.receive_maximum = limits_.receive_maximum;
  facts.largest_packet_bytes = limits_.largest_packet_bytes;
  return facts;
}

}  // namespace gyle
