//! Keys of invented shops, made from fixed bytes instead of chance.

use std::cell::Cell;

use chrono::{DateTime, Utc};
use tackwright::seal::Fault;
use tackwright::seal::certificate::{self, Holder, Issuer};
use tackwright::seal::identity::Identity;
use tackwright::seal::key::{Kind, PrivateKey};

/// A root and a leaf from 2026-01-01 on. The same seed gives the same keys.
pub(crate) fn identity(shop: &str, seed: u8, demonstration: bool) -> Identity {
    let drawn = Cell::new(0_u8);
    let chance = |bytes: &mut [u8]| -> Result<(), Fault> {
        drawn.set(drawn.get() + 1);
        bytes.iter_mut().zip(0_u8..).for_each(|(b, i)| *b = seed ^ drawn.get().wrapping_mul(31) ^ (i & 63));
        Ok(())
    };
    let from: DateTime<Utc> = "2026-01-01T00:00:00Z".parse().unwrap();
    let holder = Holder { shop: shop.to_owned(), demonstration };
    let root_key = PrivateKey::make(Kind::P256, &chance).unwrap();
    let root = certificate::root(&holder, &root_key, from, &chance).unwrap();
    let key = PrivateKey::make(Kind::P256, &chance).unwrap();
    let issuer = Issuer { certificate: &root, key: &root_key };
    let leaf = certificate::leaf(&holder, &key, issuer, from, &chance).unwrap();
    Identity::new(key, vec![leaf, root]).unwrap()
}
