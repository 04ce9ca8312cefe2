//! `phrase!`: a sentence of the program with something filled in, written as for `format!`.
//!
//! Where `format!` makes text that nothing can be told about any more, this keeps the sentence apart from what is filled
//! into it, so that `hirsel_core::terms::speech` can say the sentence in another language or in the words of a region.

mod template;

use proc_macro2::TokenStream;
use quote::{quote, quote_spanned};
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::spanned::Spanned as _;
use syn::{Expr, Ident, LitStr, Token};
use template::{Hole, Part, What};

/// What stands between the brackets: the sentence, and what is filled in.
struct Phrase {
    sentence: LitStr,
    given: Vec<(Option<Ident>, Expr)>,
}

/// `expression`, or `name = expression`.
struct Given(Option<Ident>, Expr);

impl Parse for Given {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        let named = input.peek(Ident) && input.peek2(Token![=]) && !input.peek2(Token![==]);
        let name = if named {
            let name = input.parse()?;
            input.parse::<Token![=]>()?;
            Some(name)
        } else {
            None
        };
        Ok(Self(name, input.parse()?))
    }
}

impl Parse for Phrase {
    fn parse(input: ParseStream) -> syn::Result<Self> {
        let sentence = input.parse()?;
        if !input.is_empty() {
            input.parse::<Token![,]>()?;
        }
        let given = Punctuated::<Given, Token![,]>::parse_terminated(input)?;
        Ok(Self { sentence, given: given.into_iter().map(|g| (g.0, g.1)).collect() })
    }
}

/// A sentence with what is filled into it, as a `String`: written as for `format!`, without widths taken from arguments.
/// Its text, as it stands in the source, is what catalogues of other languages know it by.
///
/// What is filled in and is a text of the program itself (`&'static str`: the word of a kind, a unit) is said, too. What
/// was given is not: a `String`, anything else that shows itself, and what stands between quotation marks. A text that
/// is only borrowed does not live as long as the program, so the compiler refuses it until it is filled in as given, by
/// reference: `&name`.
#[proc_macro]
pub fn phrase(input: proc_macro::TokenStream) -> proc_macro::TokenStream {
    let phrase = syn::parse_macro_input!(input as Phrase);
    expand(&phrase).unwrap_or_else(|e| e.to_compile_error()).into()
}

fn expand(phrase: &Phrase) -> syn::Result<TokenStream> {
    let wrong = |why: String| syn::Error::new(phrase.sentence.span(), why);
    let key = phrase.sentence.value();
    let parts = template::read(&key).map_err(wrong)?;
    let mut used = vec![false; phrase.given.len()];
    let (mut holes, mut values, mut pieces) = (Vec::<Hole>::new(), Vec::new(), Vec::new());
    for part in parts {
        let hole = match part {
            Part::Text(text) => {
                pieces.push(quote!(::hirsel_core::terms::speech::Part::Text(#text)));
                continue;
            }
            Part::Hole(hole) => hole,
        };
        let at = match holes.iter().position(|h| *h == hole) {
            Some(at) => at,
            None => {
                values.push(value(phrase, &hole, &mut used)?);
                holes.push(hole);
                holes.len() - 1
            }
        };
        pieces.push(quote!(::hirsel_core::terms::speech::Part::Hole(#at)));
    }
    if let Some(at) = used.iter().position(|u| !u) {
        return Err(syn::Error::new_spanned(&phrase.given[at].1, "nothing in the sentence takes this"));
    }
    let names = holes.iter().map(Hole::text);
    Ok(quote! {{
        #[allow(unused_imports)]
        use ::hirsel_core::terms::speech::{AnyGiven as _, OfProgram as _};
        ::hirsel_core::terms::speech::fill(
            &::hirsel_core::terms::speech::Sentence {
                plain: #key,
                parts: &[#(#pieces),*],
                holes: &[#(#names),*],
            },
            &[#(#values),*],
        )
    }})
}

/// What fills a hole: a text of the program, or anything that shows itself.
fn value(phrase: &Phrase, hole: &Hole, used: &mut [bool]) -> syn::Result<TokenStream> {
    let wrong = |why: String| syn::Error::new(phrase.sentence.span(), why);
    let place = match &hole.what {
        What::Place(n) if *n >= phrase.given.len() => {
            return Err(wrong(format!("nothing is given for {{{n}}}")));
        }
        What::Place(n) => Ok(*n),
        What::Name(name) => {
            phrase.given.iter().position(|(n, _)| n.as_ref().is_some_and(|n| n == name)).ok_or(name)
        }
    };
    let (expr, at) = match place {
        Ok(place) => {
            used[place] = true;
            let expr = &phrase.given[place].1;
            (quote!(#expr), expr.span())
        }
        // Taken from where the macro is called, as `format!` does.
        Err(name) => {
            let ident = Ident::new(name, phrase.sentence.span());
            (quote!(#ident), ident.span())
        }
    };
    let given = quote!(::hirsel_core::terms::speech::Filling::Given);
    if !hole.form.is_empty() {
        let form = LitStr::new(&format!("{{:{}}}", hole.form), phrase.sentence.span());
        return Ok(quote!(#given(&::core::format_args!(#form, #expr))));
    }
    Ok(if hole.quoted {
        quote!(#given(&(#expr)))
    } else {
        quote_spanned!(at=> (&::hirsel_core::terms::speech::Hole(&(#expr))).filling())
    })
}
