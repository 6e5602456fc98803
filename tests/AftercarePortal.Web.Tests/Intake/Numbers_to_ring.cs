using System.Text.Encodings.Web;
using AftercarePortal.Web.Features.Shared;
using Xunit;

namespace AftercarePortal.Web.Tests.Intake;

public sealed class Numbers_to_ring
{
    [Theory]
    [InlineData("Ring 202-555-0142. In an emergency 911.", "Ring <a class=\"ring\" href=\"tel:2025550142\">202-555-0142</a>. In an emergency <a class=\"ring\" href=\"tel:911\">911</a>.", "202-555-0142", "911")]
    [InlineData("Ring +1 202 555 0911, or 911.", "Ring <a class=\"ring\" href=\"tel:+12025550911\">&#x2B;1 202 555 0911</a>, or <a class=\"ring\" href=\"tel:911\">911</a>.", "+1 202 555 0911", "911")]
    [InlineData("No. 19110 rings nobody, 911 does.", "No. 19110 rings nobody, <a class=\"ring\" href=\"tel:911\">911</a> does.", "911", "911")]
    [InlineData("<b>Ring</b> nobody.", "&lt;b&gt;Ring&lt;/b&gt; nobody.", "", "ask the clinic")]
    public void Are_links_and_nothing_else_is(string said, string html, string one, string other)
    {
        using var text = new StringWriter();
        ToRing.In(said, one, other).WriteTo(text, HtmlEncoder.Default);
        Assert.Equal(html, text.ToString());
    }
}
