using AftercarePortal.Web.Documents;
using Xunit;

namespace AftercarePortal.Web.Tests.Treatment;

public sealed class Print_font
{
    [Fact]
    public void When_it_is_missing_the_message_names_the_package_to_install()
    {
        var fault = Assert.Throws<InvalidOperationException>(() => new PrintFont("no-such-folder").GetFont("DejaVuSans"));
        Assert.Contains("fonts-dejavu-core", fault.Message);
    }
}
