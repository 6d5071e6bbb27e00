"""A permit as it is typed on the page where it is prepared, and somebody who is signed in there in a browser."""

from tests import cast

PAGE, CHANGE = "/prepare/", "/permits/PD-1/change/"
TYPED = {
    "site": "S-1",
    "permit": "D-77",
    "work": "Trench for a duct",
    "locate": "L-1",
    "outline": "100 100\n110 100\n110 102\n100 102",
    "width": "",
    "depth_m": "1.2",
    "method": "hand",
    "valid_from_day": "2027-03-04",
    "valid_from_time": "08:00",
    "valid_to_day": "2027-03-05",
    "valid_to_time": "14:30",
    "issuer": "P-ISS",
    "receiver": "P-REC",
    "crew": ["P-CR1", "P-CR2"],
}


def post(client, doing, address=PAGE, **other):
    return client.post(address, TYPED | other | {"do": doing})


def signed_in(browser, live_server, width, address, person="P-ISS"):
    page = browser.new_context(viewport={"width": width, "height": 800}).new_page()
    page.goto(f"{live_server.url}{address}")
    page.fill("[name=username]", person)
    page.fill("[name=password]", cast.PASSWORD)
    page.press("[name=password]", "Enter")
    page.wait_for_selector("#judged")
    return page
