//! Networks: which addresses belong to the public internet, and which others the settings allow.

use serde::Deserialize;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// An address or a range of addresses, as written in the settings: `10.1.0.0/16`, `127.0.0.1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Network {
    first: IpAddr,
    bits: u8,
}

impl TryFrom<String> for Network {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let wrong =
            || format!("`{text}` is no address or range of addresses like `10.1.0.0/16` or `127.0.0.1`");
        let (first, bits) = match text.split_once('/') {
            Some((first, bits)) => (first, Some(bits.parse::<u8>().map_err(|_| wrong())?)),
            None => (text.as_str(), None),
        };
        let first: IpAddr = first.parse().map_err(|_| wrong())?;
        let most = if first.is_ipv4() { 32 } else { 128 };
        match bits.unwrap_or(most) {
            bits if bits <= most => Ok(Self { first, bits }),
            _ => Err(wrong()),
        }
    }
}

impl Network {
    /// True for an address of this range.
    pub fn holds(&self, address: IpAddr) -> bool {
        match (self.first, address) {
            (IpAddr::V4(a), IpAddr::V4(b)) => {
                same_head(u128::from(a.to_bits()) << 96, u128::from(b.to_bits()) << 96, self.bits)
            }
            (IpAddr::V6(a), IpAddr::V6(b)) => same_head(a.to_bits(), b.to_bits(), self.bits),
            _ => false,
        }
    }
}

fn same_head(a: u128, b: u128, bits: u8) -> bool {
    bits == 0 || (a ^ b) >> (128 - u32::from(bits.min(128))) == 0
}

/// True where the settings allow this address by name of its network: such a one may be private, and spoken to without
/// encryption.
pub fn is_allowed(address: IpAddr, allowed: &[Network]) -> bool {
    let plain = address.to_canonical();
    allowed.iter().any(|network| network.holds(address) || network.holds(plain))
}

/// Ranges of version 4 that are not for the public internet (IANA IPv4 Special-Purpose Address Registry, RFC 6890;
/// multicast and reserved: RFC 5771, RFC 1112).
const SPECIAL_V4: [(Ipv4Addr, u8); 15] = [
    (Ipv4Addr::new(0, 0, 0, 0), 8),
    (Ipv4Addr::new(10, 0, 0, 0), 8),
    (Ipv4Addr::new(100, 64, 0, 0), 10),
    (Ipv4Addr::new(127, 0, 0, 0), 8),
    (Ipv4Addr::new(169, 254, 0, 0), 16),
    (Ipv4Addr::new(172, 16, 0, 0), 12),
    (Ipv4Addr::new(192, 0, 0, 0), 24),
    (Ipv4Addr::new(192, 0, 2, 0), 24),
    (Ipv4Addr::new(192, 88, 99, 0), 24),
    (Ipv4Addr::new(192, 168, 0, 0), 16),
    (Ipv4Addr::new(198, 18, 0, 0), 15),
    (Ipv4Addr::new(198, 51, 100, 0), 24),
    (Ipv4Addr::new(203, 0, 113, 0), 24),
    (Ipv4Addr::new(224, 0, 0, 0), 4),
    (Ipv4Addr::new(240, 0, 0, 0), 4),
];

/// Ranges within 2000::/3 that are not for it (IANA IPv6 Special-Purpose Address Registry). Whatever lies outside of
/// 2000::/3 is not global unicast (RFC 4291) and is refused as a whole.
const SPECIAL_V6: [(Ipv6Addr, u8); 4] = [
    (Ipv6Addr::new(0x2001, 0, 0, 0, 0, 0, 0, 0), 23),
    (Ipv6Addr::new(0x2001, 0xdb8, 0, 0, 0, 0, 0, 0), 32),
    (Ipv6Addr::new(0x2002, 0, 0, 0, 0, 0, 0, 0), 16),
    (Ipv6Addr::new(0x3fff, 0, 0, 0, 0, 0, 0, 0), 20),
];

/// True for an address of the public internet: not of this machine, a private network, or a special purpose.
pub fn is_public(address: IpAddr) -> bool {
    match address.to_canonical() {
        IpAddr::V4(v4) => !SPECIAL_V4
            .iter()
            .any(|(first, bits)| Network { first: (*first).into(), bits: *bits }.holds(v4.into())),
        IpAddr::V6(v6) => {
            let global = Network { first: Ipv6Addr::new(0x2000, 0, 0, 0, 0, 0, 0, 0).into(), bits: 3 };
            global.holds(v6.into())
                && !SPECIAL_V6
                    .iter()
                    .any(|(first, bits)| Network { first: (*first).into(), bits: *bits }.holds(v6.into()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn network(text: &str) -> Network {
        Network::try_from(text.to_owned()).unwrap()
    }

    #[test]
    fn private_loopback_and_special_addresses_are_not_public_in_any_spelling() {
        for text in [
            "0.0.0.0",
            "10.0.0.1",
            "100.64.0.1",
            "127.0.0.1",
            "127.8.8.8",
            "169.254.169.254",
            "172.16.0.1",
            "172.31.255.255",
            "192.168.1.1",
            "198.18.0.1",
            "224.0.0.1",
            "255.255.255.255",
            "::",
            "::1",
            "::ffff:127.0.0.1",
            "::ffff:10.0.0.1",
            "64:ff9b::a00:1",
            "fe80::1",
            "fc00::1",
            "fd12::1",
            "ff02::1",
            "2001:db8::1",
            "2002:7f00:1::",
            "2001::1",
        ] {
            assert!(!is_public(text.parse().unwrap()), "{text}");
        }
    }

    #[test]
    fn addresses_of_the_internet_are_public() {
        for text in
            ["9.9.9.9", "172.15.255.255", "172.32.0.0", "100.128.0.1", "2620:fe::fe", "::ffff:9.9.9.9"]
        {
            assert!(is_public(text.parse().unwrap()), "{text}");
        }
    }

    #[test]
    fn a_range_holds_its_addresses_alone() {
        let range = [network("10.1.0.0/16"), network("::1")];
        for (text, held) in [
            ("10.1.255.1", true),
            ("::ffff:10.1.0.1", true),
            ("10.2.0.1", false),
            ("::1", true),
            ("::2", false),
        ] {
            assert_eq!(is_allowed(text.parse().unwrap(), &range), held, "{text}");
        }
        assert!(network("0.0.0.0/0").holds("1.2.3.4".parse().unwrap()));
        for wrong in ["10.0.0.0/33", "localhost", "10.0.0.0/", ""] {
            assert!(Network::try_from(wrong.to_owned()).is_err(), "{wrong}");
        }
    }
}
